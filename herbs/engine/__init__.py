"""The energetic arithmetic: pure functions over plain values and arrays, no Django.

A reader can try it in a shell without a database:

    >>> from herbs.engine import Pattern, Presentation, fit_of
    >>> dry_cough = Presentation("respiratory", "expectorant", Pattern((0, -2, 0, 0)))
    >>> fit_of((-1, 2, -1, 0), 1.0, 0.67, dry_cough).verdict
    'suits'
"""

from .axes import AXES, AXIS_INDEX, CONSTANTS, ENGINE_VERSION, HERB_POLES, MARGIN, STATE_POLES, VERDICT_WORDS, VERDICTS
from .blend import arithmetic_degree, geometric_degree, powers
from .claims import ActionTerm, DerivedRule, PartRecord, Statement, TeachingSet
from .compare import Moved, moved
from .errors import EnergeticsError, InvalidPatternError, UnknownNameError
from .fit import FitTable, order, score
from .interval import CORNERS, Bounds, bounds, shifted
from .patterns import Pattern, Presentation, constitution_from_mapping
from .profiles import Catalogue, Row, compile_catalogue
from .scalar import Fit, fit_of
from .sites import Site, SiteGraph

__all__ = [
    "AXES", "AXIS_INDEX", "CONSTANTS", "CORNERS", "ENGINE_VERSION", "HERB_POLES", "MARGIN", "STATE_POLES", "VERDICTS",
    "VERDICT_WORDS", "ActionTerm", "Bounds", "Catalogue", "DerivedRule", "EnergeticsError", "Fit", "FitTable",
    "InvalidPatternError", "Moved", "PartRecord", "Pattern", "Presentation", "Row", "Site", "SiteGraph", "Statement",
    "TeachingSet", "UnknownNameError", "arithmetic_degree", "bounds", "compile_catalogue", "constitution_from_mapping", "fit_of",
    "geometric_degree", "moved", "order", "powers", "score", "shifted",
]  # fmt: skip
