"""Rows of the materia medica."""

from .materia import Claim, Herb, Part, Release
from .teaching_sets import Override, TeachingSet, TraditionRole
from .vocabulary import Basis, Source, Term, Tradition

__all__ = [
    "Basis", "Claim", "Herb", "Override", "Part", "Release", "Source", "TeachingSet", "Term", "Tradition", "TraditionRole",
]  # fmt: skip
