"""Claims as sheets and herbs as files, out and in: what comes in is shown row by row before it is written."""

import secrets
from typing import Any

from django.contrib import messages
from django.core.cache import cache
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from herbs.differences import line_diff
from herbs.editing import EditConflictError, document_of, read_herb, save_herb
from herbs.exchange import FORMATS, Plan, UnreadableSheetError, import_claims, plan_import, read_sheet, sheet
from herbs.forms import ExportForm, UploadForm
from herbs.loading import FaultsError
from herbs.loading.writing import herb_yaml
from herbs.models import Claim, Herb, HerbEdit
from herbs.sheets import MAX_BYTES

from .permits import EditorRequest, may_edit

KEPT = 30 * 60  # seconds an upload waits to be confirmed
FILES = {"yaml", "yml"}
SHOWN = 500  # rows on a page of a dry run
KINDS = ("wrong", "new", "changed", "removed", "unchanged")


@require_http_methods(["GET", "HEAD", "POST"])
@may_edit
def exchange(request: EditorRequest) -> HttpResponse:
    """Take claims out, or send a file that is then shown row by row."""
    form = UploadForm()
    if request.method == "POST":
        form = UploadForm(request.POST, request.FILES)
        if form.is_valid():
            sent = form.cleaned_data["file"]
            sentence = _refusal(sent.name, sent.size)
            if not sentence:
                token = secrets.token_urlsafe(18)
                cache.set(_key(request, token), {"name": sent.name[-120:], "content": sent.read()}, KEPT)
                return redirect("herbs:exchange-preview", token=token)
            form.add_error("file", sentence)
    export = ExportForm(initial={"herb": request.GET.get("herb", "")})
    return render(request, "herbs/edit_exchange.html", {"form": form, "export": export})


def _refusal(name: str, size: int) -> str:
    if name.rpartition(".")[2].lower() not in {*FORMATS, *FILES}:
        return "Send a .csv, .xlsx or .yaml file."
    if size > MAX_BYTES:
        return f"The file is larger than {MAX_BYTES // 1024 // 1024} MB. Split it."
    return "The file is empty." if not size else ""


def _key(request: EditorRequest, token: str) -> str:
    return f"exchange:{request.user.pk}:{token[:64]}"


@require_safe
@may_edit
def claims_export(request: EditorRequest) -> HttpResponse:
    """Claims of one herb, or of all, as a CSV or XLSX file with the columns that an import takes."""
    form = ExportForm(request.GET)
    if not form.is_valid():
        messages.error(request, "Choose a herb from the list, and CSV or XLSX.")
        return redirect("herbs:exchange")
    herb, kind = form.cleaned_data["herb"], form.cleaned_data["kind"]
    claims = Claim.objects.select_related("part", "source").order_by("part__slug", "position")
    claims = claims.filter(part__herb=herb) if herb else claims
    name = f"{herb.slug if herb else 'materia-medica'}-{timezone.localdate():%Y-%m-%d}.{kind}"
    headers = {"Content-Disposition": f'attachment; filename="{name}"', "Cache-Control": "no-store"}
    return HttpResponse(sheet(claims, kind), content_type=FORMATS[kind], headers=headers)


@require_safe
@may_edit
def exchange_preview(request: EditorRequest, token: str) -> HttpResponse:
    """What a file that was sent would change, without changing it."""
    kept = cache.get(_key(request, token))
    if kept is None:
        return _gone(request)
    context: dict[str, Any] = {"token": token, "name": kept["name"], "done": kept.get("done")}
    if kept["name"].rpartition(".")[2].lower() in FILES:
        return render(request, "herbs/edit_exchange_file.html", context | _file_context(kept))
    try:
        plan = plan_import(read_sheet(kept["name"], kept["content"]))
    except UnreadableSheetError as error:
        return render(request, "herbs/edit_exchange_sheet.html", context | {"sentence": str(error)})
    return render(request, "herbs/edit_exchange_sheet.html", context | _sheet_context(request, plan))


def _sheet_context(request: EditorRequest, plan: Plan) -> dict[str, Any]:
    """Counts of every kind; rows that change or are wrong, the wrong ones first, a page at a time."""
    told = sorted(
        (row for row in plan.rows if row.kind != "unchanged" or row.sentences), key=lambda row: row.kind != "wrong"
    )
    return {
        "plan": plan,
        "counts": [(kind, plan.counts[kind]) for kind in KINDS],
        "total": len(plan.rows),
        "page": Paginator(told, SHOWN).get_page(request.GET.get("page")),
    }


def _file_context(kept: dict[str, Any]) -> dict[str, Any]:
    try:
        record = read_herb(_text(kept), path=kept["name"])
    except FaultsError as error:
        return {"faults": error.faults}
    stored = Herb.objects.for_monograph().filter(slug=record["slug"]).first()
    before = document_of(stored) if stored else ""
    return {
        "record": record,
        "stored": stored,
        "lines": line_diff(before, herb_yaml(record)),
        "base": stored.digest if stored else "",
    }


def _text(kept: dict[str, Any]) -> str:
    # What is no UTF-8 is told as a fault of the file, not lost in an error page.
    return str(kept["content"].decode("utf-8-sig", errors="replace"))


def _gone(request: EditorRequest) -> HttpResponse:
    messages.error(request, "That file is no longer kept: it waits for half an hour. Send it again.")
    return redirect("herbs:exchange")


@require_POST
@may_edit
def exchange_confirm(request: EditorRequest, token: str) -> HttpResponse:
    """Write what the preview showed; a second time it changes nothing."""
    key = _key(request, token)
    kept = cache.get(key)
    if kept is None:
        return _gone(request)
    if "done" in kept:
        messages.info(request, "This file was taken in already. Nothing more was changed.")
        return redirect("herbs:exchange-preview", token=token)
    sentence = _take_in(request, kept)
    if sentence is None:
        messages.error(request, "The file cannot be taken in as it is now. Nothing was changed.")
        return redirect("herbs:exchange-preview", token=token)
    cache.set(key, {**kept, "done": sentence}, KEPT)
    messages.success(request, sentence)
    return redirect("herbs:edit-list")


def _take_in(request: EditorRequest, kept: dict[str, Any]) -> str | None:
    """What was done, or None when it cannot be."""
    try:
        if kept["name"].rpartition(".")[2].lower() in FILES:
            herb, changed = save_herb(
                text=_text(kept), by=request.user, summary=f"from the file {kept['name']}", base=request.POST.get("base", ""),
                kind=HerbEdit.Kind.IMPORTED,
            )  # fmt: skip
            return f"{herb.latin} is saved." if changed else f"Nothing differs: {herb.latin} is as it was."
        plan, count = import_claims(data=read_sheet(kept["name"], kept["content"]), by=request.user)
    except (EditConflictError, FaultsError, UnreadableSheetError):
        return None
    if not plan.is_good:
        return None
    return (
        f"{count} herb{' is' if count == 1 else 's are'} changed."
        if count
        else "Nothing differs, so nothing was changed."
    )
