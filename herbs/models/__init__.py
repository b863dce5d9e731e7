"""Rows of the materia medica."""

from .edits import HerbEdit
from .materia import Claim, Herb, Part, Release
from .names import SearchName
from .pictures import Picture
from .teaching_sets import Override, TeachingSet, TeachingSetRevision, TraditionRole
from .vocabulary import Basis, Source, Term, Tradition

__all__ = [
    "Basis", "Claim", "Herb", "HerbEdit", "Override", "Part", "Picture", "Release", "SearchName", "Source", "TeachingSet",
    "TeachingSetRevision", "Term", "Tradition", "TraditionRole",
]  # fmt: skip
