"""Writes to private notes on herbs. Saving may be repeated harmlessly, and never writes over what was not seen."""

import secrets

from django.db import IntegrityError, transaction
from django.utils import timezone

from .models import HerbNote, User

# A new note's version is drawn, so that a form opened on a note since deleted does not fit the one written after it.
FIRST_VERSION_BELOW = 2**30


class NoteConflictError(Exception):
    """The note was changed in between, and nothing was written. ``stored`` is the note as it is now; None if deleted."""

    def __init__(self, stored: HerbNote | None) -> None:
        self.stored = stored
        super().__init__("The note was changed in between.")


def save_note(*, user: User, herb_slug: str, herb_name: str, text: str, base: int) -> HerbNote | None:
    """Save a person's note on a herb; an empty text deletes it, and None is returned.

    ``base`` is the version that the person saw, 0 for no note. Raises NoteConflictError when that is no longer the stored one
    and the stored text differs; a text that is stored already changes nothing.
    """
    with transaction.atomic():
        stored = HerbNote.objects.select_for_update().filter(user=user, herb_slug=herb_slug).first()
        if text == (stored.text if stored else ""):
            return stored
        if base != (stored.version if stored else 0):
            raise NoteConflictError(stored)
        if not text and stored:
            stored.delete()
            return None
        if stored is None:
            return _first(user=user, herb_slug=herb_slug, herb_name=herb_name, text=text)
        stored.herb_name, stored.text = herb_name, text
        stored.changed_at = timezone.now()
        stored.version += 1
        stored.save(update_fields=["herb_name", "text", "changed_at", "version"])
        return stored


def _first(*, user: User, herb_slug: str, herb_name: str, text: str) -> HerbNote:
    """The first note on a herb. Of two tabs that both write it at once, the second finds a conflict."""
    try:
        with transaction.atomic():
            return HerbNote.objects.create(
                user=user,
                herb_slug=herb_slug,
                herb_name=herb_name,
                text=text,
                changed_at=timezone.now(),
                version=1 + secrets.randbelow(FIRST_VERSION_BELOW),
            )
    except IntegrityError:
        winner = HerbNote.objects.get(user=user, herb_slug=herb_slug)
        if winner.text == text:
            return winner
        raise NoteConflictError(winner) from None
