"""The comparison-question engine: pure functions that write questions with proved keys."""

from .audit import audit
from .certificate import recheck
from .contrast import Contrast, Flip, KeyChange, contrast, key_changes
from .errors import NoValidItemError, UnknownFamilyError
from .families import FAMILIES, generator
from .families.best_fit import Constraints
from .proof import Prover, prove
from .scenery import Scenery, build_scenery

__all__ = [
    "FAMILIES", "Constraints", "Contrast", "Flip", "KeyChange", "NoValidItemError", "Prover", "Scenery", "UnknownFamilyError",
    "audit", "build_scenery", "contrast", "generator", "key_changes", "prove", "recheck",
]  # fmt: skip
