"""Teaching sets: seen, copied, changed with a view of what that changes, shared, and taught under."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.db.models import Q
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from herbs.catalogue import draft_materia_medica
from herbs.engine import moved
from herbs.loaded import needs_materia_medica
from herbs.models import TeachingSet, Tradition
from herbs.teaching_sets import InvalidSetError, SetConflictError, copy_set, differences, save_set, set_document

from .access import course_for
from .bank import QuestionMaker, maker_of, question_maker
from .engine import contrast, key_changes
from .models import User
from .requests import PersonRequest
from .set_forms import CopyForm, SetEditor, ShareForm, part_choices


def sets_for(user: User) -> Any:
    """Teaching sets a person may see: shipped ones, their own, and those shared with them."""
    mine = Q(is_local=False) | Q(owner=user) | Q(colleagues=user)
    return TeachingSet.objects.filter(mine).distinct().order_by("-is_default", "is_local", "name")


def set_for(user: User, slug: str, permission: str = "herbs.view_teachingset") -> TeachingSet:
    """A teaching set on which the user has a permission; 404 for whoever may not see it, 403 for whoever may only see it."""
    row = TeachingSet.objects.select_related("owner", "copied_from").filter(slug=slug).first()
    if row is None or not user.has_perm("herbs.view_teachingset", row):
        raise Http404("No such teaching set.")
    if not user.has_perm(permission, row):
        raise PermissionDenied
    return row


def _must_teach(user: User) -> None:
    if not user.has_perm("herbs.add_teachingset"):
        raise PermissionDenied


@require_safe
def teaching_set_list(request: PersonRequest) -> HttpResponse:
    """Every teaching set the person may see."""
    _must_teach(request.user)
    return render(request, "lessons/teaching_set_list.html", {"sets": sets_for(request.user).select_related("owner")})


@require_safe
def teaching_set_detail(request: PersonRequest, slug: str) -> HttpResponse:
    """One teaching set: who decides, overrides, how it differs from what it was copied from, who may use it."""
    _must_teach(request.user)
    row = set_for(request.user, slug)
    original = (
        row.copied_from
        if row.copied_from and request.user.has_perm("herbs.view_teachingset", row.copied_from)
        else None
    )
    context = {
        "set": row,
        "roles": row.roles.select_related("tradition"),
        "overrides": row.overrides.order_by("pk"),
        "original": original,
        "differences": differences(set_document(original), set_document(row)) if original else [],
        "may_change": request.user.has_perm("herbs.change_teachingset", row),
        "colleagues": row.colleagues.order_by("username"),
        "revisions": row.revisions.select_related("saved_by"),
        "copy_form": CopyForm(initial={"name": f"{row.name}, ours"[:80]}),
        "share_form": ShareForm(),
    }
    return render(request, "lessons/teaching_set_detail.html", context)


@require_POST
def teaching_set_copy(request: PersonRequest, slug: str) -> HttpResponse:
    """A copy of one's own."""
    _must_teach(request.user)
    row = set_for(request.user, slug)
    form = CopyForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Give your copy a name of at most 80 letters.")
        return redirect("lessons:teaching-set-detail", slug=slug)
    made = copy_set(original=row, name=form.cleaned_data["name"], by=request.user)
    messages.success(request, f"{made.name} is yours to change. Nothing has changed for anybody else.")
    return redirect("lessons:teaching-set-edit", slug=made.slug)


@require_http_methods(["GET", "HEAD", "POST"])
def teaching_set_edit(request: PersonRequest, slug: str) -> HttpResponse:
    """Change one's own set: see what that changes, then save."""
    _must_teach(request.user)
    row = set_for(request.user, slug, "herbs.change_teachingset")
    stored = set_document(row)
    editor = SetEditor(stored, row.revision, request.POST if request.method == "POST" else None)
    context: dict[str, Any] = {"set": row, "editor": editor, "parts": part_choices(), "sentences": []}
    if request.method == "POST" and editor.is_valid():
        try:
            if "save" in request.POST:
                return _save(request, row, editor)
            context |= _preview(request, row, editor)
        except InvalidSetError as error:
            context["sentences"] = error.sentences
        except SetConflictError:
            context["sentences"] = [
                "This set was saved elsewhere in the meantime. What you wrote is kept below: compare it with the stored set, "
                "then save once more to put yours in its place."
            ]
            context["editor"] = editor = SetEditor(stored, row.revision, _rebased(request, row.revision))
            editor.is_valid()
    elif request.method == "POST":
        context["sentences"] = ["Some fields need mending; nothing was saved."]
    context["names"] = dict(Tradition.objects.values_list("slug", "name"))
    context["classes"] = question_maker().materia_medica.class_actions
    status = 422 if context["sentences"] else 200
    return render(request, "lessons/teaching_set_edit.html", context, status=status)


def _rebased(request: PersonRequest, revision: int) -> Any:
    sent = request.POST.copy()
    sent["base"] = str(revision)
    return sent


def _save(request: PersonRequest, row: TeachingSet, editor: SetEditor) -> HttpResponse:
    before = editor.base
    if save_set(teaching_set=row, document=editor.document(), base=before, by=request.user):
        messages.success(request, f"{editor.document()['name']} is saved as revision {before + 1}.")
        return redirect("lessons:teaching-set-changes", slug=row.slug)
    messages.info(request, "Nothing was different, so nothing was saved.")
    return redirect("lessons:teaching-set-detail", slug=row.slug)


def _preview(request: PersonRequest, row: TeachingSet, editor: SetEditor) -> dict[str, Any]:
    """What saving would change, with nothing saved."""
    document = editor.document()
    said = differences(set_document(row), document)
    shown = _what_changes(
        question_maker(row.slug), maker_of(draft_materia_medica(document)), request.POST.get("class", "")
    )
    return {"previewed": True, "said": said, **shown}


def _what_changes(before: QuestionMaker, after: QuestionMaker, chosen: str) -> dict[str, Any]:
    classes = before.materia_medica.class_actions
    action = next((term for term in classes if term.slug == chosen), classes[0])
    return {
        "classes": classes,
        "action": action,
        "moved": moved(before.materia_medica.catalogue, after.materia_medica.catalogue),
        "contrast": contrast(before.prover, after.prover, before.scenery, [action.slug]),
        "keys": key_changes(before.prover, after.prover, before.scenery, [action.slug]),
    }


@require_safe
@needs_materia_medica
def teaching_set_changes(request: PersonRequest, slug: str) -> HttpResponse:
    """What changed since an earlier revision: profiles, and the keys that questions have."""
    _must_teach(request.user)
    row = set_for(request.user, slug)
    revisions = list(row.revisions.exclude(revision=row.revision))
    since = next(
        (r for r in revisions if str(r.revision) == request.GET.get("since")), revisions[0] if revisions else None
    )
    context: dict[str, Any] = {"set": row, "revisions": revisions, "since": since}
    if since:
        after = question_maker(row.slug)
        before = maker_of(draft_materia_medica(since.document))
        context["said"] = differences(since.document, set_document(row))
        context |= _what_changes(before, after, request.GET.get("class", ""))
    return render(request, "lessons/teaching_set_changes.html", context)


@require_POST
def teaching_set_share(request: PersonRequest, slug: str) -> HttpResponse:
    """Share one's own set with a colleague, or stop sharing it."""
    _must_teach(request.user)
    row = set_for(request.user, slug, "herbs.change_teachingset")
    form = ShareForm(request.POST)
    name = form.cleaned_data["username"] if form.is_valid() else ""
    colleague = User.objects.filter(username=name).first() if name and "\x00" not in name else None
    if colleague is None or not colleague.has_perm("herbs.add_teachingset"):
        messages.error(request, "Nobody of that user name teaches here. Ask your colleague how they log in.")
    elif "stop" in request.POST:
        row.colleagues.remove(colleague)
        messages.success(request, f"{colleague} can no longer see this set. Courses taught under it are not changed.")
    elif colleague != request.user:
        row.colleagues.add(colleague)
        messages.success(request, f"{colleague} can now see, copy and teach under this set.")
    return redirect("lessons:teaching-set-detail", slug=slug)


@require_POST
def course_teaching_set(request: PersonRequest, slug: str) -> HttpResponse:
    """Teach a course under another set, for its owners."""
    course = course_for(request.user, slug, "lessons.change_roles")
    chosen = sets_for(request.user).filter(slug=request.POST.get("teaching_set", "")[:60].replace("\x00", "")).first()
    if chosen is None:
        messages.error(request, "There is no such teaching set. Choose one from the list.")
    else:
        course.teaching_set = chosen
        course.save(update_fields=["teaching_set"])
        messages.success(request, f"New drills of this course follow {chosen.name}. Drills already begun keep theirs.")
    return redirect("lessons:course-detail", slug=slug)
