"""Pages of drill plans and forms, for whoever teaches."""

import uuid
from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from herbs.loaded import needs_materia_medica
from lessons import plans
from lessons.models import Course, DrillPlan, Form, Item, User
from lessons.policy import TEACHERS
from lessons.requests import PersonRequest

from .bank_forms import plain_helper
from .presenting import item_title

LONGEST = 20_000  # characters of a plan
LATEST = 12


class PlanForm(forms.Form):
    """A drill plan as text."""

    text = forms.CharField(
        label="The plan", max_length=LONGEST, widget=forms.Textarea(attrs={"rows": 22, "spellcheck": "false"})
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = plain_helper()


def courses_taught(user: User) -> list[Course]:
    """Courses in which a person teaches, or whose school they administer."""
    taught = Course.objects.filter(enrolments__user=user, enrolments__role__in=TEACHERS)
    return list((taught | Course.objects.filter(school__administrators=user)).distinct().order_by("title"))


@require_safe
@permission_required("lessons.view_plans", raise_exception=True)
@needs_materia_medica
def plan_list(request: PersonRequest) -> HttpResponse:
    """Saved plans, the ones that come with the app, and how many items are approved."""
    context = {
        "plans": DrillPlan.objects.select_related("by"),
        "shipped": [
            {"name": name, "title": plans.read_plan(text).title} for name, text in plans.shipped_plans().items()
        ],
        "approved": Item.objects.approved().count(),
    }
    return render(request, "quizzes/plan_list.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("lessons.change_plan", raise_exception=True)
@needs_materia_medica
def plan_new(request: PersonRequest) -> HttpResponse:
    """Write a plan, from a shipped one or from nothing."""
    shipped = plans.shipped_plans()
    text = shipped.get(request.GET.get("from", ""), next(iter(shipped.values()), ""))
    return _edit(request, None, text)


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("lessons.change_plan", raise_exception=True)
@needs_materia_medica
def plan_edit(request: PersonRequest, slug: str) -> HttpResponse:
    """Change a plan; forms already made from it stay as they are."""
    row = get_object_or_404(DrillPlan, slug=slug)
    return _edit(request, row, plans.plan_text(plans.engine_plan(row)))


def _edit(request: PersonRequest, row: DrillPlan | None, text: str) -> HttpResponse:
    form = PlanForm(request.POST or None, initial={"text": text})
    if request.method == "POST" and form.is_valid():
        try:
            saved = plans.save_plan(plan=plans.read_plan(form.cleaned_data["text"]), by=request.user, row=row)
        except plans.PlanTextError as error:
            for problem in error.problems:
                form.add_error("text", problem)
        else:
            return redirect("quizzes:plan-detail", slug=saved.slug)
    return render(request, "quizzes/plan_edit.html", {"form": form, "row": row})


@require_safe
@permission_required("lessons.view_plans", raise_exception=True)
def plan_detail(request: PersonRequest, slug: str) -> HttpResponse:
    """What a plan asks for, and the forms made from it."""
    return _detail(request, get_object_or_404(DrillPlan, slug=slug))


def _detail(request: PersonRequest, row: DrillPlan, conflict: Any = None) -> HttpResponse:
    context = {
        "row": row,
        "requirements": plans.requirements(row),
        "forms": row.forms.select_related("by", "course")[:LATEST],
        "approved": Item.objects.approved().count(),
        "code": uuid.uuid4(),
        "counts": range(1, plans.MOST_FORMS + 1),
        "conflict": conflict,
        "nearest": plans.plan_text(conflict.nearest) if conflict and conflict.nearest else "",
    }
    return render(request, "quizzes/plan_detail.html", context)


@require_POST
@permission_required("lessons.change_plan", raise_exception=True)
@needs_materia_medica
def plan_assemble(request: PersonRequest, slug: str) -> HttpResponse:
    """Assemble a form, or say which demands conflict and what the nearest plan is."""
    row = get_object_or_404(DrillPlan, slug=slug)
    try:
        code = UUID(request.POST.get("code", ""))
    except ValueError:
        messages.error(request, "That page was out of date. Press the button once more.")
        return redirect("quizzes:plan-detail", slug=slug)
    wanted = request.POST.get("forms", "1")
    count = int(wanted) if wanted.isascii() and wanted.isdigit() and len(wanted) == 1 else 1
    found = plans.assemble_form(row=row, by=request.user, code=code, count=count)
    if found.form is None and found.conflict is None:
        messages.error(request, "No form was found, nor in time what conflicts. Drop a demand, and assemble again.")
        return redirect("quizzes:plan-detail", slug=slug)
    if found.form is None:
        return _detail(request, row, found.conflict)
    if count > 1:
        return redirect("quizzes:plan-detail", slug=slug)
    return redirect("quizzes:form-detail", code=found.form.code)


def _form_for(code: UUID) -> Form:
    found = Form.objects.select_related("plan", "by", "course").filter(code=code).first()
    if found is None:
        raise Http404("No such form.")
    return found


@require_safe
@permission_required("lessons.view_plans", raise_exception=True)
def form_detail(request: PersonRequest, code: UUID) -> HttpResponse:
    """The items of a form in order, and the course it is offered to."""
    form = _form_for(code)
    places = [
        {"position": place.position, "item": place.item, "title": item_title(place.item.opened)}
        for place in form.places.select_related("item")
    ]
    context = {"form": form, "places": places, "courses": courses_taught(request.user)}
    return render(request, "quizzes/form_detail.html", context)


@require_POST
@permission_required("lessons.change_plan", raise_exception=True)
def form_offer(request: PersonRequest, code: UUID) -> HttpResponse:
    """Offer a form to a course one teaches, or take it back."""
    form, slug = _form_for(code), request.POST.get("course", "")
    taught = courses_taught(request.user)
    course = next((course for course in taught if course.slug == slug), None)
    if slug and course is None:
        messages.error(request, "Choose one of the courses you teach.")
    elif form.course is not None and form.course not in taught:
        messages.error(request, f"{form.course.title} has it, and you do not teach there. Assemble a form of your own.")
    else:
        plans.offer_form(form=form, course=course)
    return redirect("quizzes:form-detail", code=code)
