"""Reading the materia medica's files: every fault at once with file and line, or records ready to store."""

from .faults import Fault, FaultsError
from .reading import read_files
from .records import Bundle

__all__ = ["Bundle", "Fault", "FaultsError", "read_files"]
