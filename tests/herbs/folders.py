"""A small data folder to spoil: the shipped vocabulary with three herbs."""

import re
import shutil
from pathlib import Path

from django.conf import settings

from herbs.models import Claim, Herb, Part, Release, Source, TeachingSet, Term, Tradition, TraditionRole

SHIPPED = Path(settings.MATERIA_MEDICA_DIR)
HERBS = ("inula-helenium", "galium-aparine", "althaea-officinalis")
INULA = "herbs/inula-helenium.yaml"
GALIUM = "herbs/galium-aparine.yaml"


def small_folder(place: Path) -> Path:
    """Copy the vocabulary and three herbs into a new folder."""
    folder = place / "data"
    shutil.copytree(SHIPPED / "vocabulary", folder / "vocabulary")
    shutil.copy(SHIPPED / "teaching_sets.yaml", folder)
    # Askings name parts of other herbs that are not to be offered; here there are none to name.
    askings = folder / "vocabulary/askings.yaml"
    askings.write_text(re.sub(r", not_offered: \[.*?\]", "", askings.read_text(encoding="utf-8")), encoding="utf-8")
    # Departures, too, are told of parts.
    (folder / "vocabulary/departures.yaml").write_text("[]\n")
    (folder / "herbs").mkdir()
    for herb in HERBS:
        shutil.copy(SHIPPED / "herbs" / f"{herb}.yaml", folder / "herbs")
    return folder


def replace(folder: Path, file: str, old: str, new: str) -> int:
    """Replace the first occurrence of a text and give the line it stands on."""
    path = folder / file
    text = path.read_text(encoding="utf-8")
    before, found, after = text.partition(old)
    assert found, f"{file} no longer holds {old!r}"
    path.write_text(before + new + after, encoding="utf-8")
    return before.count("\n") + 1


def stored() -> dict[str, list[tuple]]:
    """Every row of the materia medica, to compare before and after."""
    models = (Tradition, Source, Term, Herb, Part, Claim, TeachingSet, TraditionRole, Release)
    return {model.__name__: list(model.objects.order_by("pk").values_list()) for model in models}
