"""Folding of names, so that spelling, accents and case do not stand between a name and its herb."""

import re
import unicodedata

LIGATURES = str.maketrans({"æ": "ae", "œ": "oe", "ß": "ss", "×": "x", "ø": "o", "ł": "l"})
NOT_A_WORD = re.compile(r"[^a-z0-9 ]+")


def fold(name: str) -> str:
    """A name in plain lower-case words: no accents, ligatures or marks ("St John's-wort" -> "st johns wort")."""
    plain = unicodedata.normalize("NFKD", name.lower().translate(LIGATURES))
    plain = "".join(letter for letter in plain if not unicodedata.combining(letter))
    plain = plain.replace("'", "").replace("’", "")
    return " ".join(NOT_A_WORD.sub(" ", plain).split())
