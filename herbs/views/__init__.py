"""Pages of the materia medica."""

from .browse import herb_index
from .classes import class_detail, class_index
from .compare import part_compare
from .monographs import cross_walk, herb_as_told_by, herb_detail, part_detail

__all__ = [
    "class_detail", "class_index", "cross_walk", "herb_as_told_by", "herb_detail", "herb_index", "part_compare",
    "part_detail",
]  # fmt: skip
