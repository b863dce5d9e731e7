"""Which tables lead to a person, and how each of them is told to that person or why it is not.

``links`` walks every model that is installed, so that a table added later is told too, under a name made from its own. A test
fails until whoever added it has said here what is told of it, or why nothing is.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from django.apps import apps
from django.db.models import Field, Model

from lessons.models import User


@dataclass(frozen=True)
class Told:
    """Rows of one table that belong to a person.

    ``section`` is their name in the file. ``columns`` are the columns told, also of tables they point to; empty for all columns
    of their own but those in ``without``.
    """

    section: str
    columns: tuple[str, ...] = ()
    without: tuple[str, ...] = ()


ACCOUNT_WITHOUT = ("password",)
# Drills are told by ``quizzes.personal_data.drills``, with their questions and answers.
DRILLS = "quizzes.Attempt.student"

TOLD = {
    "account.EmailAddress.user": Told("email_addresses"),
    "mfa.Authenticator.user": Told("second_factor", ("type", "created_at", "last_used_at")),
    "lessons.Enrolment.user": Told("courses", ("course__slug", "course__title", "course__school__name", "role")),
    "lessons.School_administrators.user": Told("schools_administered", ("school__slug", "school__name")),
    "lessons.User_groups.user": Told("groups", ("group__name",)),
    "lessons.User_user_permissions.user": Told("permissions", ("permission__codename",)),
    "lessons.HerbNote.user": Told("notes_on_herbs", without=("version",)),
    DRILLS: Told("drills"),
    "quizzes.Learner.student": Told("skills_as_estimated"),
    "quizzes.Memory.student": Told("herbs_to_meet_again"),
    "quizzes.FoundConfusion.student": Told("confusions_found"),
    "quizzes.Standing.student": Told("skills_day_by_day"),
    # Of what was made for others the file names which and when; the thing itself belongs to the course or the materia medica.
    "herbs.HerbEdit.edited_by": Told("edits_of_herbs", ("herb_slug", "number", "kind", "edited_at")),
    "herbs.Picture.uploaded_by": Told("pictures_added", ("code", "part__slug", "uploaded_at")),
    "herbs.TeachingSet.owner": Told("teaching_sets", ("slug", "name", "revision")),
    "herbs.TeachingSetRevision.saved_by": Told("teaching_set_revisions", ("teaching_set__slug", "revision", "saved_at")),
    "herbs.TeachingSet_colleagues.user": Told("teaching_sets_shared_with_you", ("teachingset__slug",)),
    "lessons.ItemReview.by": Told("reviews_of_questions", ("item__content_hash", "before", "after", "at")),
    "lessons.DrillPlan.by": Told("drill_plans", ("slug", "title", "saved_at")),
    "lessons.Form.by": Told("forms_made", ("code", "title", "made_at", "offered_at")),
    "quizzes.GradingScheme.made_by": Told("weights_of_marks_set", ("course__slug", "number", "made_at")),
    "quizzes.Regrade.by": Told("regrades", ("code", "course__slug", "at")),
    "quizzes.Regrade.undone_by": Told("regrades_taken_back", ("code", "course__slug", "undone_at")),
}  # fmt: skip

WITHIN = "What a teaching set, a plan or a form of yours holds: the file names it, and the site shows it."
LETTERS = "Keys of letters that verify an address: they are worked out for each letter and not kept."
COURSES = "Courses, schools and other people's work: they are not about you. The file names those you belong to."
IN_DRILLS = "told within drills"
# Tables from which a person can be reached through another table only.
BEYOND = {
    "account.EmailConfirmation": LETTERS,
    "herbs.TraditionRole": WITHIN,
    "herbs.Override": WITHIN,
    "lessons.Course": COURSES,
    "lessons.FormItem": WITHIN,
    "quizzes.Question": IN_DRILLS,
    "quizzes.Reading": IN_DRILLS,
    "quizzes.Answer": IN_DRILLS,
    "quizzes.RegradedAnswer": IN_DRILLS,
}
NOT_TOLD = (
    "Your password: only a figure worked out from it is kept, from which it cannot be read.",
    "The secret of your second factor, and your recovery codes.",
    "What your browser is logged in by.",
    "Keys, proofs and seeds of questions, and questions whose page you have not opened: they would give away what is asked.",
    *dict.fromkeys(sentence for sentence in BEYOND.values() if sentence != IN_DRILLS),
)


@dataclass(frozen=True)
class Link:
    """A column of a table that names a person."""

    model: type[Model]
    field: Field

    @property
    def name(self) -> str:
        """Application, model and field, joined by full stops."""
        return f"{self.model._meta.label}.{self.field.name}"

    @property
    def told(self) -> Told:
        """How the rows are told; all their own columns where nobody has said."""
        return TOLD.get(self.name) or Told(self.name.lower().replace(".", "_"))


def all_models() -> Iterable[type[Model]]:
    """Every table, those of many-to-many fields included."""
    return apps.get_models(include_auto_created=True)


def links(models: Iterable[type[Model]] | None = None) -> Iterator[Link]:
    """Every column that names a person."""
    for model in all_models() if models is None else models:
        for field in model._meta.concrete_fields:
            if field.is_relation and field.related_model is User:
                yield Link(model, field)


def beyond(models: Iterable[type[Model]] | None = None) -> set[str]:
    """Labels of the tables without such a column from whose rows a person can be reached through other tables."""
    points_to = {
        model: {field.related_model for field in model._meta.concrete_fields if field.is_relation}
        for model in (all_models() if models is None else models)
    }
    reached: set[object] = {User}
    while new := {model for model in points_to if model not in reached and points_to[model] & reached}:
        reached |= new
    return {m._meta.label for m in points_to if m in reached and m is not User and User not in points_to[m]}
