"""What people changed: per herb and lately, compared line by line, restored, and proposed to the maintainer."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from herbs.differences import line_diff
from herbs.editing import document_of, restore_edit
from herbs.loading import FaultsError
from herbs.models import Herb, HerbEdit

from .permits import EditorRequest, may_edit

PER_PAGE = 50
FOLDER = "herbs/data/herbs/"


@require_safe
@may_edit
def herb_history(request: EditorRequest, slug: str) -> HttpResponse:
    """Every edit of a herb, and how any of them differs from any other."""
    edits = list(HerbEdit.objects.filter(herb_slug=slug).select_related("edited_by"))
    herb = Herb.objects.for_monograph().filter(slug=slug).first()
    if herb is None and not edits:
        raise Http404("No such herb.")
    by_number = {edit.number: edit for edit in edits}
    last = edits[0].number if edits else 0
    new = by_number.get(_number(request, "to"), by_number.get(last))
    before = _number(request, "from")
    old = by_number.get(before if before in by_number else (new.number - 1 if new else 0))
    context: dict[str, Any] = {
        "herb": herb,
        "slug": slug,
        "edits": edits,
        "old": old,
        "new": new,
        "last": last,
        "lines": line_diff(old.document if old else "", new.document) if new else [],
        "path": f"{FOLDER}{slug}.yaml",
    }
    return render(request, "herbs/edit_history.html", context)


def _number(request: EditorRequest, name: str) -> int:
    word = request.GET.get(name, "")
    return int(word) if word.isascii() and word.isdigit() and len(word) < 9 else 0


@require_POST
@may_edit
def edit_restore(request: EditorRequest, slug: str, number: int) -> HttpResponse:
    """Bring a herb back to how an edit left it; once more changes nothing more."""
    edit = get_object_or_404(HerbEdit.objects.exclude(document=""), herb_slug=slug, number=number)
    try:
        herb, changed = restore_edit(edit=edit, by=request.user)
    except FaultsError as error:
        said = " ".join(fault.message for fault in error.faults[:5])
        messages.error(request, f"Number {number} cannot be restored as it is: {said} Nothing was changed.")
        return redirect("herbs:herb-history", slug=slug)
    state = "is again" if changed else "is already"
    messages.success(request, f"{herb.latin} {state} as it stood at number {number}.")
    return redirect("herbs:herb-history", slug=slug)


@require_safe
@may_edit
def herb_file(request: EditorRequest, slug: str) -> HttpResponse:
    """The herb's file exactly as it would be shipped, to propose it to the maintainer."""
    herb = get_object_or_404(Herb.objects.for_monograph(), slug=slug)
    headers = {"Content-Disposition": f'attachment; filename="{herb.slug}.yaml"', "Cache-Control": "no-store"}
    return HttpResponse(document_of(herb), content_type="text/yaml; charset=utf-8", headers=headers)


@require_safe
@may_edit
def edit_list(request: EditorRequest) -> HttpResponse:
    """The latest edits of all herbs."""
    edits = HerbEdit.objects.select_related("edited_by").defer("document").order_by("-edited_at", "-id")
    page = Paginator(edits, PER_PAGE).get_page(request.GET.get("page"))
    slugs = {edit.herb_slug for edit in page}
    names = dict(Herb.objects.filter(slug__in=slugs).values_list("slug", "latin"))
    rows = [{"edit": edit, "latin": names.get(edit.herb_slug, "")} for edit in page]
    return render(request, "herbs/edit_list.html", {"rows": rows, "page": page})
