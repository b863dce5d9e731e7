"""Adding and editing herbs: one form for head, parts and claims, with rows that htmx swaps one by one."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseBadRequest
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from herbs.claim_lines import one_line
from herbs.differences import line_diff
from herbs.editing import EditConflictError, document_of, remove_herb, save_herb
from herbs.forms import Draft, RowDraft, Words
from herbs.forms.draft import KEY, draft_of_record, fresh_draft, new_key, posted_draft, posted_part, posted_row
from herbs.loaded import empty
from herbs.loading import FaultsError
from herbs.loading.writing import herb_yaml
from herbs.models import Herb, HerbEdit, Picture, Release
from herbs.storing import herb_record

from .permits import EditorRequest, may_edit

CHANGES_A_ROW = {"open": "open", "shut": "shut", "remove": "gone", "restore": "shut", "fields": "open"}


@require_http_methods(["GET", "HEAD", "POST"])
@may_edit
def herb_add(request: EditorRequest) -> HttpResponse:
    """A herb from nothing; the form starts with the rows that a drill needs."""
    if not Release.objects.exists():
        return empty(request)
    words = Words()
    if request.method != "POST":
        return _form(request, fresh_draft(words), "")
    draft = posted_draft(words, request.POST)
    herb = Herb.objects.filter(slug=draft.slug).first()
    if herb and request.POST.get("do") == "save":
        draft.faults.append(("latin", f"{herb.latin} is in the materia medica already. Open its monograph to edit it."))
        return _form(request, draft, "")
    return _answer(request, draft, base="")


@require_http_methods(["GET", "HEAD", "POST"])
@may_edit
def herb_edit(request: EditorRequest, slug: str) -> HttpResponse:
    """A stored herb: its claims stand as sentences and open one by one."""
    words = Words()
    herb = Herb.objects.for_monograph().filter(slug=slug).first()
    was_removed = herb is None and HerbEdit.objects.filter(herb_slug=slug, kind=HerbEdit.Kind.REMOVED).exists()
    # A herb that was removed meanwhile is no reason to lose what was typed: saving tells.
    if request.method == "POST" and (herb or was_removed):
        return _answer(request, posted_draft(words, request.POST, slug), base=request.POST.get("base", ""))
    if herb is None:
        raise Http404("No such herb.")
    return _form(request, draft_of_record(words, herb_record(herb)), herb.digest)


def _answer(request: EditorRequest, draft: Draft, *, base: str) -> HttpResponse:
    """What the pressed button asks for."""
    verb, _, place = request.POST.get("do", "check").partition(":")
    if verb == "save":
        return _save(request, draft, base, base)
    if verb == "save-over":
        return _save(request, draft, base, request.POST.get("theirs", ""))
    if verb == "check":
        record = draft.check()
        stored = Herb.objects.for_monograph().filter(slug=draft.slug).first()
        before = document_of(stored) if stored else ""
        preview = {"lines": line_diff(before, herb_yaml(record)), "is_new": not stored} if record else None
        return _form(request, draft, base, preview=preview)
    _change_rows(draft, verb, place)
    return _form(request, draft, base)


def _change_rows(draft: Draft, verb: str, place: str) -> None:
    """Add, open, shut, remove a row or a part; a place that is not there changes nothing."""
    part_key, _, row_key = place.partition(":")
    part = draft.part(part_key)
    if verb == "add-part":
        added = draft.add_part()
        added.form.fields["part"].widget.attrs["autofocus"] = True
    elif verb == "remove-part" and part and len(draft.parts) > 1:
        draft.parts.remove(part)
    elif verb == "add" and part:
        part.add({"predicate": part.adding, "source": draft.words.common_practice}, autofocus=True)
    elif verb in CHANGES_A_ROW and part and (row := part.row(row_key)):
        row.state, row.autofocus = CHANGES_A_ROW[verb], True


def _save(request: EditorRequest, draft: Draft, opened: str, base: str) -> HttpResponse:
    record = draft.check()
    if record is None:
        return _form(request, draft, opened)
    text = herb_yaml(record)
    summary = one_line(request.POST.get("summary", ""))[:200]
    try:
        herb, changed = save_herb(text=text, by=request.user, summary=summary, base=base)
    except EditConflictError as error:
        conflict = {"lines": line_diff(error.current, text), "digest": error.digest, "removed": not error.current}
        return _form(request, draft, opened, conflict=conflict)
    except FaultsError as error:
        draft.faults += [("", fault.message) for fault in error.faults]
        return _form(request, draft, opened)
    messages.success(request, f"{herb.latin} is saved." if changed else f"Nothing differs: {herb.latin} is as it was.")
    for sentence in draft.wants:
        messages.warning(request, sentence)
    return redirect("herbs:herb-detail", slug=herb.slug)


def _form(request: EditorRequest, draft: Draft, base: str, **context: Any) -> HttpResponse:
    stored = Herb.objects.filter(slug=draft.stored_slug).first() if draft.stored_slug else None
    context |= {
        "draft": draft,
        "base": base,
        "herb": stored,
        "summary": one_line(request.POST.get("summary", ""))[:200],
    }
    return render(request, "herbs/edit_herb.html", context)


@require_POST
@may_edit
def claim_row(request: EditorRequest) -> HttpResponse:
    """One row of the form for htmx: added, opened, shut, removed, put back, given other fields, or only judged."""
    verb, _, place = request.POST.get("do", "").partition(":")
    part, _, key = place.partition(":")
    if not KEY.fullmatch(part) or not (KEY.fullmatch(key) or verb == "add"):
        return HttpResponseBadRequest("Reload the page and try again.", content_type="text/plain")
    words = Words()
    if verb == "add":
        values = {"predicate": posted_part(words, request.POST, part).adding, "source": words.common_practice}
        row = RowDraft(words, part, new_key(), values, "open", autofocus=True)
    else:
        row = posted_row(words, request.POST, part, key)
    if verb == "check":
        row.check()
        return render(request, "herbs/_claim_says.html", {"row": row, "swapped": True})
    if verb != "add" and verb not in CHANGES_A_ROW:
        return HttpResponseBadRequest("Reload the page and try again.", content_type="text/plain")
    row.state = CHANGES_A_ROW.get(verb, row.state)
    # With other fields the focus stays where it was: in the field that was changed.
    row.autofocus = verb != "fields"
    return render(request, "herbs/_claim_row.html", {"row": row})


@require_http_methods(["GET", "HEAD", "POST"])
@may_edit
def herb_remove(request: EditorRequest, slug: str) -> HttpResponse:
    """Remove a herb after asking once more; its file stays in the history."""
    herb = get_object_or_404(Herb, slug=slug)
    if request.method == "POST":
        remove_herb(slug=slug, by=request.user, summary=one_line(request.POST.get("summary", ""))[:200])
        messages.success(request, f"{herb.latin} is removed. Its history keeps it; restore it there.")
        return redirect("herbs:herb-history", slug=slug)
    pictures = Picture.objects.filter(part__herb=herb).count()
    return render(request, "herbs/edit_remove.html", {"herb": herb, "pictures": pictures})
