"""The comparison-question engine: pure functions that write questions with proved keys."""

from .audit import audit
from .constraints import Constraints
from .contrast import Contrast, Flip, KeyChange, contrast, key_changes
from .errors import NoValidItemError, UnknownFamilyError
from .families import FAMILIES, family_of
from .making import cases_of, make
from .packing import LARGEST, Item, frozen, gradable, opened
from .proof import Prover, prove
from .rechecking import recheck
from .scenery import Scenery, build_scenery
from .turning import axis_of
from .workshop import Workshop

__all__ = [
    "FAMILIES", "LARGEST", "Constraints", "Contrast", "Flip", "Item", "KeyChange", "NoValidItemError", "Prover", "Scenery",
    "UnknownFamilyError", "Workshop", "audit", "axis_of", "build_scenery", "cases_of", "contrast", "family_of", "frozen",
    "gradable", "key_changes", "make", "opened", "prove", "recheck",
]  # fmt: skip
