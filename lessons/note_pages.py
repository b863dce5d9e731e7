"""Private notes on herbs: read, written, listed. Only ever one's own."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from config.htmx import render_page
from herbs.models import Herb

from .access import note_for_owner
from .models import HerbNote
from .note_forms import NoteForm
from .notes import NoteConflictError, save_note
from .requests import PersonRequest

TEMPLATE, FRAGMENT = "lessons/herb_note.html", "own-note"


@require_safe
@never_cache
def herb_notes(request: PersonRequest) -> HttpResponse:
    """All of one's notes, by the herb's name."""
    notes = list(HerbNote.objects.filter(user=request.user))
    herbs = Herb.objects.in_bulk([note.herb_slug for note in notes], field_name="slug")
    rows = [{"note": note, "herb": herbs.get(note.herb_slug)} for note in notes]
    return render(request, "lessons/herb_notes.html", {"rows": rows})


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def herb_note(request: PersonRequest, slug: str) -> HttpResponse:
    """One's note on a herb, read and written; for htmx only what a monograph shows of it."""
    note, herb = note_for_owner(request.user, slug)
    context: dict[str, Any] = {"note": note, "herb": herb}
    if request.method != "POST":
        context["form"] = NoteForm(initial={"text": note.text, "base": note.version})
        return render_page(request, TEMPLATE, context, fragment=FRAGMENT)
    form = NoteForm(request.POST)
    if not form.is_valid():
        return render(request, TEMPLATE, context | {"form": form})
    sent = form.cleaned_data
    try:
        saved = save_note(
            user=request.user,
            herb_slug=note.herb_slug,
            herb_name=note.herb_name,
            text=sent["text"],
            base=sent["base"],
        )
    except NoteConflictError as error:
        stored = error.stored
        anew = NoteForm(initial={"text": sent["text"], "base": stored.version if stored else 0})
        conflict = {"stored": stored, "mine": sent["text"]}
        return render(request, TEMPLATE, context | {"form": anew, "conflict": conflict})
    if saved is None:
        messages.success(request, f"There is no note on {note.herb_name} now.")
        return redirect("lessons:herb-notes")
    messages.success(request, "Your note is saved.")
    return redirect("lessons:herb-note", slug=slug)
