"""Input rules of the materia medica: herbs with their parts and claims, pictures, sheets."""

from .claims import ClaimForm
from .draft import Draft, PartDraft, RowDraft
from .heads import HeadForm, PartForm
from .uploads import ExportForm, PictureForm, UploadForm
from .words import Words

__all__ = [
    "ClaimForm", "Draft", "ExportForm", "HeadForm", "PartDraft", "PartForm", "PictureForm", "RowDraft", "UploadForm", "Words",
]  # fmt: skip
