"""Pages of how a course grades: its weights with every version, and past marks worked out anew."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.db.models import Count
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from lessons.access import course_for
from lessons.models import Course
from lessons.requests import PersonRequest

from .access import regrade_for_staff
from .engine import CURRENT, LEVELS, WEIGHTS, full_points, mark_confidence
from .grading_forms import WHOLE, GradingForm, RegradeForm, version_among
from .grading_schemes import EVERY, SchemeChangedError, change_scheme, scheme_of
from .models import GradingScheme
from .presenting import CONFIDENCE_SAID, PART_WORDS
from .regrade_preview import preview_regrade
from .regrading import RegradeError, latest_standing, regrade, undo_regrade

MOST_STUDENTS = 40  # of a preview
# What each thing said of one's confidence earns, of a hundred: (chance, words, if right, if not).
CONFIDENCE_EARNS = [
    (level, CONFIDENCE_SAID[level], *(round(mark_confidence(level, right) * WHOLE / 1000) for right in (True, False)))
    for level in LEVELS
]


@require_http_methods(["GET", "HEAD", "POST"])
def course_grading(request: PersonRequest, slug: str) -> HttpResponse:
    """How a course grades, for its staff; whoever teaches it may change that."""
    course = course_for(request.user, slug, f"quizzes.{'change' if request.method == 'POST' else 'view'}_grading")
    latest = scheme_of(course)
    if request.method != "POST":
        return _grading(request, course, latest, GradingForm(latest=latest))
    form = GradingForm(request.POST, latest=latest)
    if not form.is_valid():
        return _grading(request, course, latest, form)
    base = form.cleaned_data["base"]
    try:
        saved = change_scheme(course=course, by=request.user, **form.cleaned_data)
    except SchemeChangedError as error:
        latest = scheme_of(course)
        # What was typed stays, and is based on what is shown beside it from now on.
        typed = request.POST.copy()
        typed["base"] = str(latest.number if latest else 0)
        form = GradingForm(typed, latest=latest)
        form.is_valid()
        form.add_error(None, str(error))
        return _grading(request, course, latest, form)
    if saved.number == base:
        messages.info(request, "Nothing changed: these weights hold already.")
    else:
        messages.success(
            request,
            f"Version {saved.number} holds. Drills begun from now on are graded by it; past marks stay as they are.",
        )
    return redirect("quizzes:course-grading", slug=slug)


def _grading(request: PersonRequest, course: Course, latest: GradingScheme | None, form: GradingForm) -> HttpResponse:
    weights = latest.weights if latest else dict(WEIGHTS[CURRENT])
    always = ["choice", "reason", *(["confidence"] if weights["confidence"] else [])]
    standing = latest_standing(course)
    context: dict[str, Any] = {
        "course": course,
        "latest": latest,
        "form": form,
        "may_change": request.user.has_perm("quizzes.change_grading", course),
        "words": PART_WORDS,
        "worth": [
            {"asked": asked, "points": [points.get(part) for part in PART_WORDS]}
            for asked, points in (
                ("without the pattern", full_points(weights, always)),
                ("with the pattern", full_points(weights, ["reading", *always])),
            )
        ],
        "every": EVERY,
        "confidence_earns": CONFIDENCE_EARNS,
        "versions": [(row, _weights_told(row)) for row in course.grading_schemes.select_related("made_by")],
        "shipped": [(word, WEIGHTS[CURRENT][part]) for part, word in PART_WORDS.items()],
        "regrades": course.regrades.select_related("by", "scheme", "undone_by").annotate(marks=Count("answers")),
        "standing": standing.pk if standing else None,
    }
    return render(request, "quizzes/grading.html", context)


def _weights_told(row: GradingScheme) -> str:
    """The weights of a version in a few words."""
    return ", ".join(f"{PART_WORDS[part].lower()} {weight}" for part, weight in row.weights.items())


@require_safe
def regrade_preview(request: PersonRequest, slug: str) -> HttpResponse:
    """What would become of a course's marks under a version, before anything is written."""
    course = course_for(request.user, slug, "quizzes.change_grading")
    versions = list(course.grading_schemes.all())
    chosen = version_among(versions, request.GET.get("version", ""))
    form = RegradeForm(versions=course.grading_schemes.all(), initial={"version": chosen.number if chosen else None})
    return _preview(request, course, versions, chosen, form)


@require_POST
def course_regrade(request: PersonRequest, slug: str) -> HttpResponse:
    """Work out a course's marks anew. The same code does it once."""
    course = course_for(request.user, slug, "quizzes.change_grading")
    form = RegradeForm(request.POST, versions=course.grading_schemes.all())
    if form.is_valid():
        data = form.cleaned_data
        try:
            done = regrade(
                course=course, scheme=data["version"], by=request.user, reason=data["reason"], code=data["code"]
            )
        except RegradeError as error:
            form.add_error(None, str(error))
        else:
            if done.undone_at:
                messages.info(request, "That regrade was done, and undone since. Nothing was changed now.")
            else:
                messages.success(request, _told(done.answers.count(), data["seen"], str(done.scheme)))
            return redirect("quizzes:course-grading", slug=slug)
    versions = list(course.grading_schemes.all())
    return _preview(request, course, versions, version_among(versions, request.POST.get("version", "")), form)


def _told(marks: int, seen: int | None, version: str) -> str:
    """What a regrade did, and that it was more or less than the preview said."""
    said = f"{marks} mark{'' if marks == 1 else 's'} {'is' if marks == 1 else 'are'} counted by {version} now."
    if seen is not None and seen != marks:
        said += (
            f" When the page was opened there were {seen}: answers given, or marks worked out, since then are in it."
        )
    return said


def _preview(
    request: PersonRequest,
    course: Course,
    versions: list[GradingScheme],
    chosen: GradingScheme | None,
    form: RegradeForm,
) -> HttpResponse:
    preview = preview_regrade(course=course, scheme=chosen) if chosen else None
    context = {
        "course": course,
        "versions": versions,
        "chosen": chosen,
        "form": form,
        "preview": preview,
        "students": preview.students[:MOST_STUDENTS] if preview else [],
        "left_out": max(0, len(preview.students) - MOST_STUDENTS) if preview else 0,
    }
    return render(request, "quizzes/regrade.html", context)


@require_POST
def regrade_undo(request: PersonRequest, slug: str, code: UUID) -> HttpResponse:
    """Put back what the marks were before a course's latest regrade."""
    done = regrade_for_staff(request.user, slug, code)
    try:
        marks = undo_regrade(regrade=done, by=request.user)
    except RegradeError as error:
        messages.error(request, str(error))
    else:
        messages.success(
            request,
            f"{marks} mark{'' if marks == 1 else 's'} put back." if marks else "That regrade was undone already.",
        )
    return redirect("quizzes:course-grading", slug=slug)
