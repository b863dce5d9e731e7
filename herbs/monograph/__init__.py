"""What monographs and class pages show, put together from claims and compiled profiles."""

from .axes import axis_rows, plane_of
from .sections import monograph
from .words import kind, signed

__all__ = ["axis_rows", "kind", "monograph", "plane_of", "signed"]
