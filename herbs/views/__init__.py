"""Pages of the materia medica."""

from .browse import herb_index
from .classes import class_detail, class_index
from .monographs import herb_detail, part_detail

__all__ = ["class_detail", "class_index", "herb_detail", "herb_index", "part_detail"]
