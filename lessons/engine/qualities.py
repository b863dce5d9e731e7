"""Qualities of parts whatever the case: which rows such questions are about, and how a quality is said of an herb by name."""

import numpy as np
from numpy.typing import NDArray

from herbs.engine import AXES, HERB_POLES, STATE_POLES, pole

from .because import BARE
from .constraints import Constraints
from .workshop import Workshop

GERUNDS = {
    "warms": "warming", "cools": "cooling", "moistens": "moistening", "dries": "drying", "tightens": "tightening",
    "relaxes": "relaxing", "stirs": "stirring", "quiets": "quieting",
}  # fmt: skip
# Endings of words in s that are no plurals: moss, hyssopus, rhizopus, basis.
SINGULAR = ("ss", "us", "is")
Bools = NDArray[np.bool_]


def sign_of(way: str) -> int:
    """1 for "+", -1 for "-"."""
    return 1 if way == "+" else -1


def is_plural(label: str) -> bool:
    """Whether a label takes a plural verb: "hops cool", "Iceland moss cools"."""
    name = label.partition(",")[0]
    return name.endswith("s") and not name.endswith(SINGULAR)


def inset(label: str) -> str:
    """A label as it stands within a sentence: "ginger rhizome, fresh" becomes "ginger rhizome (fresh)"."""
    name, comma, form = label.partition(", ")
    return f"{name} ({form})" if comma else label


def agreeing(label: str, axis: str, sign: float) -> str:
    """The verb for a push on an axis, agreeing with the label it is said of: "warms", of hops "warm"."""
    verb = pole(axis, sign)
    return BARE[verb] if is_plural(label) else verb


def clause(label: str, axis: str, sign: float) -> str:
    """What an herb does on an axis: "ginger root warms"."""
    return f"{inset(label)} {agreeing(label, axis, sign)}"


def gerund(axis: str, sign: float) -> str:
    """A push on an axis as a quality: "warming"."""
    return GERUNDS[pole(axis, sign)]


def answered(axis: str, sign: float) -> str:
    """The state of the tissue that a push on an axis answers, its contrary: what warms answers "cold"."""
    return pole(axis, -sign, STATE_POLES)


def said_in_name(plural: str) -> frozenset[int]:
    """Axes of whose qualities a class bears the name, as relaxing nervines do: its herbs are not set apart by those."""
    words = set(plural.split())
    return frozenset(
        number for number, axis in enumerate(AXES) if any(GERUNDS[verb] in words for verb in HERB_POLES[axis])
    )


def classes_asked(workshop: Workshop, constraints: Constraints) -> list[str]:
    """The action classes that a question may be about."""
    return [action for action in workshop.class_actions if constraints.action in (None, action)]


def usual_rows(workshop: Workshop, constraints: Constraints, *, barred: frozenset[str] = frozenset()) -> Bools:
    """(P,) rows in scope, in the form usually taken and without any of the barred marks."""
    return np.array(
        [
            row.is_usual and constraints.admits_part(row.part_slug) and not barred & set(row.marks)
            for row in workshop.catalogue.rows
        ],
        dtype=bool,
    )


def species_numbers(workshop: Workshop) -> NDArray[np.int64]:
    """(P,) a number for each row's species, the same for all its parts."""
    numbers: dict[str, int] = {}
    return np.array([numbers.setdefault(row.latin, len(numbers)) for row in workshop.catalogue.rows], dtype=np.int64)


def fame(workshop: Workshop, parts: list[str]) -> list[int]:
    """How widely each of some rows is spoken of, in hundredths."""
    return [round(100 * workshop.known_of[part]) for part in parts]
