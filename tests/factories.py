"""Builders of drills, answers and data that a test needs; drills are made by the same service that students use."""

import uuid
from typing import Any

from django.urls import reverse
from django.utils import timezone

from herbs.models import Release, Term
from lessons import plans
from lessons.access import course_of
from lessons.bank import question_maker
from lessons.models import Course, DrillPlan, Form, Item, User
from lessons.services import freeze_items
from quizzes import practice, services
from quizzes.engine import reasons_for
from quizzes.grading_schemes import change_scheme
from quizzes.models import Answer, Attempt, Question, Regrade
from tests import people

HTMX = {"HX-Request": "true"}


def attempt(student: User, *, length: int = 2, action: str = "", code: uuid.UUID | None = None) -> Attempt:
    """A fresh open drill, worked in the student's course as the site would have it."""
    return services.start_attempt(
        student=student, code=code or uuid.uuid4(), action=action, length=length, course=course_of(student)
    )


def question(drill: Attempt, position: int = 1) -> Question:
    """A question of a drill as a view loads it, read anew from the database."""
    return Question.objects.for_panel().get(attempt=drill, position=position)


def address(asked: Question, name: str = "detail") -> str:
    """The address of a question's page, or of its ``choice`` or ``reason``."""
    return reverse(f"quizzes:question-{name}", args=[asked.attempt.code, asked.position])


def key_of(asked: Question) -> int:
    """The index of the right option."""
    return asked.item.opened["key"]


def wrong_choice_of(asked: Question, *, after: int = 1) -> int:
    """The index of a wrong option: 1, 2 or 3 places after the key, round the corner."""
    return (key_of(asked) + after) % len(asked.item.opened["options"])


def reason_of(asked: Question, choice: int, *, decisive: bool = True) -> int:
    """The index of the decisive reason for a choice, or of one that does not decide."""
    reasons = reasons_for(asked.item.opened, choice)
    return next(n for n, reason in enumerate(reasons) if (reason["status"] == "decisive") is decisive)


def practice_session(student: User) -> Attempt:
    """The student's open practice session, begun if there is none."""
    return practice.start_practice(student=student, code=uuid.uuid4(), course=course_of(student))


def locked(asked: Question, choice: int | None = None) -> Answer:
    """The question with a choice locked: the right one unless told."""
    return services.record_choice(question=asked, choice=key_of(asked) if choice is None else choice)


def answered(asked: Question, choice: int | None = None, *, decisive: bool = True) -> Answer:
    """The question with choice and reason: both right unless told."""
    answer = locked(asked, choice)
    return services.record_reason(question=asked, reason=reason_of(asked, answer.choice, decisive=decisive))


def finished_attempt(student: User, *, length: int = 2, action: str = "") -> Attempt:
    """A drill with every question answered right."""
    drill = attempt(student, length=length, action=action)
    for position in range(1, length + 1):
        answered(question(drill, position))
    drill.refresh_from_db()
    return drill


def drill_at_every_stage(student: User) -> Attempt:
    """A drill whose first question is answered (wrong), the second locked, and the third not begun."""
    drill = attempt(student, length=3)
    first = question(drill, 1)
    answered(first, wrong_choice_of(first), decisive=False)
    locked(question(drill, 2))
    return drill


def page_addresses(drill: Attempt) -> dict[str, str]:
    """Every page of the site by name, but for those of log-in, for staff who work ``drill`` at every stage themselves."""
    content = question(drill, 1).item.opened
    part = content["options"][content["key"]]
    herb = "-".join(part["latin"].lower().replace("×", "x").split())
    compared = [option["part"] for option in content["options"]]
    finished = finished_attempt(drill.student, length=1)
    return {
        "front page": reverse("home"),
        "cautions": reverse("cautions"),
        "drill list": reverse("quizzes:drill-list"),
        "where I stand": reverse("quizzes:where-i-stand"),
        "what I answered": reverse("quizzes:history"),
        "next work": reverse("quizzes:next-work"),
        "practice": reverse("quizzes:question-detail", args=[practice_session(drill.student).code, 1]),
        "question, answered": address(question(drill, 1)),
        "question, choice locked": address(question(drill, 2)),
        "question, not begun": address(question(drill, 3)),
        "results, unfinished": reverse("quizzes:attempt-results", args=[drill.code]),
        "results": reverse("quizzes:attempt-results", args=[finished.code]),
        "materia medica": reverse("herbs:herb-index"),
        "monograph": reverse("herbs:herb-detail", args=[herb]),
        "notes": reverse("lessons:herb-notes"),
        "note on a herb": reverse("lessons:herb-note", args=[herb]),
        "as told by": reverse("herbs:herb-as-told-by", args=[herb]),
        "cross-walk": reverse("herbs:cross-walk"),
        "comparison": reverse("herbs:part-compare", query={"parts": ",".join(compared)}),
        "comparison without parts": reverse("herbs:part-compare"),
        "herb to add": reverse("herbs:herb-add"),
        "herb to edit": reverse("herbs:herb-edit", args=[herb]),
        "herb to remove": reverse("herbs:herb-remove", args=[herb]),
        "history of a herb": reverse("herbs:herb-history", args=[herb]),
        "pictures of a herb": reverse("herbs:herb-pictures", args=[herb]),
        "edits": reverse("herbs:edit-list"),
        "export and import": reverse("herbs:exchange"),
        "contact sheet": reverse("herbs:contact-sheet", query={"class": content["presentation"]["action"]}),
        "classes": reverse("herbs:class-index"),
        "class": reverse("herbs:class-detail", args=[content["presentation"]["action"]]),
        "samples": reverse("lessons:item-samples"),
        **bank_addresses(drill.course),
        "teaching sets": reverse("lessons:teaching-set-compare"),
        "account": reverse("account"),
        "what is kept": reverse("account-data"),
        "erase the account": reverse("account-erase"),
        "course": reverse("lessons:course-detail", args=[drill.course.slug]),
        "members": reverse("lessons:course-members", args=[drill.course.slug]),
        **grading_addresses(drill.course),
        "drills of a member": reverse("quizzes:member-drills", args=[drill.course.slug, drill.student.username]),
        "not found": "/nothing-here/",
    }


def bank_addresses(course: Course | None) -> dict[str, str]:
    """The pages of the item bank by name: an item of every kind of answer, a plan, a form."""
    kinds = {"order-by-fit", "kinds", "place-on-the-plane", "new-finding", "preparation"}
    items = {f"item of {family}": banked_item(family=family) for family in sorted(kinds)}
    form = offered_form(course)
    return {
        "item bank": reverse("quizzes:item-list"),
        **{name: reverse("quizzes:item-detail", args=[item.code]) for name, item in items.items()},
        "words of an item": reverse("quizzes:item-wording", args=[banked_item().code]),
        "plans": reverse("quizzes:plan-list"),
        "plan to write": reverse("quizzes:plan-new"),
        "plan": reverse("quizzes:plan-detail", args=[form.plan.slug]),
        "form": reverse("quizzes:form-detail", args=[form.code]),
    }


def grading_addresses(course: Course) -> dict[str, str]:
    """The pages of how a course grades by name, after a regrade, and with another version to regrade by."""
    regrade_of(course)
    change_scheme(
        course=course, by=people.owner(), base=1, reading=20, choice=40, reason=30, confidence=10, asks_reading="some"
    )
    return {
        "how a course grades": reverse("quizzes:course-grading", args=[course.slug]),
        "regrade": reverse("quizzes:regrade-preview", args=[course.slug]),
    }


def regrade_of(course: Course) -> Regrade:
    """A regrade of a course under its first version, in the log alone: no mark was touched."""
    scheme = change_scheme(
        course=course, by=people.owner(), base=0, reading=0, choice=60, reason=40, confidence=0, asks_reading="never"
    )
    return Regrade.objects.create(course=course, scheme=scheme, by=people.owner(), reason="Answers count for more.")


def store(asked: Question, content: dict[str, Any]) -> None:
    """Replace what is frozen of a question: for tests that need a certain kind of item."""
    type(asked.item).objects.filter(pk=asked.item.pk).update(content=content)


def make_unsafe(asked: Question, choice: int) -> None:
    """Turn a wrong option into one that is unsafe for the person."""
    content = asked.item.opened
    content["options"][choice] |= {"verdict": "unsafe", "fault": "unsafe for this person"}
    store(asked, content)


def class_without_questions() -> str:
    """The slug of an action class that no herb has, so that no question about it can be proved."""
    Term.objects.create(
        kind=Term.Kind.ACTION, slug="test-only", name="test-only herb", position=999,
        details={"plural": "test-only herbs", "class": True, "definition": "Invented for a test.", "opposed": []},
    )  # fmt: skip
    # A version of its own, so that the compiled materia medica is not taken from the cache.
    Release.objects.create(
        file_digest="test-only", data_version=f"test-{uuid.uuid4().hex[:8]}", loaded_at=timezone.now(),
        counts={"herbs": 0, "parts": 0, "claims": 0},
    )  # fmt: skip
    return "test-only"


def banked_item(*, family: str = "best-fit", review: str = "draft", seed: int = 1, **columns: Any) -> Item:
    """An item of the bank, made from a known seed."""
    reason = {"review_reason": "Too easy."} if review == "retired" else {}
    return freeze_items(contents=[question_maker().make(family, seed)], review=review, **reason, **columns)[0]


def drill_plan(**document: Any) -> DrillPlan:
    """A saved plan: one item of any kind unless told otherwise, with an approved item that meets it."""
    banked_item(review="approved", seed=2)
    plan = plans.plan_from_mapping({"title": "A plan of one", "length": 1} | document)
    return plans.save_plan(plan=plan, by=people.owner())


def offered_form(course: Course | None) -> Form:
    """A form of a plan of one, offered to a course."""
    row = drill_plan()
    form = plans.assemble_form(row=row, by=people.owner(), code=uuid.uuid4()).form
    assert form is not None
    return plans.offer_form(form=form, course=course)
