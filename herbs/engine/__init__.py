"""The energetic arithmetic: pure functions over plain values and arrays, no Django.

A reader can try it in a shell without a database:

    >>> from herbs.engine import Pattern, Presentation, fit_of
    >>> dry_cough = Presentation("respiratory", "expectorant", Pattern((0, -2, 0, 0)))
    >>> fit_of((-1, 2, -1, 0), 1.0, 0.67, dry_cough).verdict
    'suits'
"""

from .axes import (
    AGGRAVATES_LEADING,
    AXES,
    AXIS_INDEX,
    BEARING_MIN,
    CONSTANTS,
    ENGINE_VERSION,
    HERB_POLES,
    LIMIT,
    MARGIN,
    ROUNDING,
    SHIFT,
    STATE_POLES,
    SUITS_ACTION,
    SUITS_AFFINITY,
    SUITS_LEADING,
    VERDICT_WORDS,
    VERDICTS,
    WEIGHTS,
)
from .blend import arithmetic_degree, geometric_degree, powers
from .claims import ActionTerm, DerivedRule, PartRecord, Statement, TeachingSet
from .compare import Moved, moved
from .differentials import Contrast, Differential, contrast_words, contrasts, differentials, leading_classes
from .errors import EnergeticsError, InvalidPatternError, UnknownNameError
from .fit import FitTable, order, score
from .interval import CORNERS, Bounds, bounds, shifted
from .notes import PartNotes, PreparationNote
from .patterns import Pattern, Presentation, constitution_from_mapping
from .profiles import Catalogue, Row, compile_catalogue
from .scalar import Fit, fit_of
from .sites import Site, SiteGraph
from .tastes import TasteRule, expected
from .words import capital, degree_number, joined, pole

__all__ = [
    "AGGRAVATES_LEADING", "AXES", "AXIS_INDEX", "BEARING_MIN", "CONSTANTS", "CORNERS", "ENGINE_VERSION", "HERB_POLES",
    "LIMIT", "MARGIN", "ROUNDING", "SHIFT", "STATE_POLES", "SUITS_ACTION", "SUITS_AFFINITY", "SUITS_LEADING",
    "VERDICTS", "VERDICT_WORDS", "WEIGHTS", "ActionTerm", "Bounds", "Catalogue", "Contrast", "DerivedRule",
    "Differential", "EnergeticsError", "Fit", "FitTable", "InvalidPatternError", "Moved", "PartNotes", "PartRecord",
    "Pattern", "PreparationNote", "Presentation", "Row", "Site", "SiteGraph", "Statement", "TasteRule", "TeachingSet",
    "UnknownNameError", "arithmetic_degree", "bounds", "capital", "compile_catalogue", "constitution_from_mapping",
    "contrast_words", "contrasts", "degree_number", "differentials", "expected", "fit_of", "geometric_degree",
    "joined", "leading_classes", "moved", "order", "pole", "powers", "score", "shifted",
]  # fmt: skip
