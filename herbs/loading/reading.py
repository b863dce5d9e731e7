"""From a folder of files to a validated bundle."""

import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

from .faults import Fault, FaultsError
from .herb_files import HerbReader
from .records import Bundle
from .shapes import HERB, TEACHING_SETS, VOCABULARY, misshapen
from .vocabulary import FILES, read_teaching_sets, read_vocabulary
from .yaml_lines import parse

LOADER_VERSION = b"3"  # raise it when the loader reads the same files otherwise: they are then loaded again
VOCABULARY_FILES = [*FILES, "plain.yaml", "traditions.yaml", "sources.yaml"]


def data_files(folder: Path) -> list[Path]:
    """Every YAML file of a data folder in a stable order."""
    return sorted(folder.rglob("*.yaml"))


def file_digest(folder: Path) -> str:
    """SHA-256 over the names and bytes of a data folder's files, so that an unchanged folder need not be parsed."""
    total = hashlib.sha256(LOADER_VERSION)
    for path in data_files(folder):
        total.update(f"{path.relative_to(folder)}\0".encode())
        total.update(hashlib.sha256(path.read_bytes()).digest())
    return total.hexdigest()


def read_files(folder: Path, tell: Callable[[int, int], None] | None = None) -> Bundle:
    """Read and validate a data folder; ``tell(done, of)`` hears of progress.

    Raises FaultsError with every fault of every file, or when the folder holds no herbs.
    """
    faults: list[Fault] = []
    if not folder.is_dir():
        raise FaultsError(
            [Fault(str(folder), 1, "There is no such folder. Name a folder with vocabulary/ and herbs/.")]
        )

    def load(relative: str) -> Any:
        path = folder / relative
        if not path.is_file():
            return None
        try:
            return parse(relative, path.read_bytes())
        except FaultsError as error:
            faults.extend(error.faults)
            return None

    vocabulary = {name: load(f"vocabulary/{name}") for name in VOCABULARY_FILES}
    teaching_sets = load("teaching_sets.yaml")
    for name, document in vocabulary.items():
        if document is not None:
            faults.extend(misshapen(f"vocabulary/{name}", document, VOCABULARY[name]))
    if teaching_sets is not None:
        faults.extend(misshapen("teaching_sets.yaml", teaching_sets, TEACHING_SETS))
    # Nothing can be checked against a vocabulary that cannot be read: the herbs are then only looked at for their shape.
    bundle = Bundle() if faults else read_vocabulary(vocabulary, faults)
    readable = bool(bundle.terms)
    if readable:
        read_teaching_sets(teaching_sets, bundle, faults)
    paths = sorted(path for path in (folder / "herbs").glob("*") if path.suffix.lower() in (".yaml", ".yml"))
    if not paths:
        faults.append(Fault("herbs", 1, "The folder holds no herb files."))
    owners: dict[str, str] = {}
    for number, path in enumerate(paths, 1):
        relative = str(path.relative_to(folder))
        if path.suffix != ".yaml":
            faults.append(Fault(relative, 1, f"The file must end in .yaml: name it {path.stem}.yaml."))
            continue
        document = load(relative)
        odd = [] if document is None else list(misshapen(relative, document, HERB))
        faults.extend(odd)
        herb = None if odd or document is None or not readable else HerbReader(relative, bundle, faults).read(document)
        if herb:
            if herb["slug"] != path.stem:
                faults.append(Fault(relative, 1, f"The file must be named {herb['slug']}.yaml after its slug."))
            for part in herb["parts"]:
                if part["slug"] in owners:
                    faults.append(Fault(relative, 1, f"{part['slug']} is already in {owners[part['slug']]}."))
                owners[part["slug"]] = relative
            bundle.herbs.append(herb)
        if tell:
            tell(number, len(paths))
    # Which parts there are is known only when every herb could be read.
    for asking in [] if faults else bundle.terms.get("asking", []):
        for disputed in asking.get("not_offered") or []:
            if disputed["part"] not in owners:
                message = f"There is no part {disputed['part']!r}."
                faults.append(Fault("vocabulary/askings.yaml", getattr(disputed, "line", 1), message))
    for departure in [] if faults else bundle.terms.get("departure", []):
        if departure["part"] not in owners:
            message = f"There is no part {departure['part']!r}."
            faults.append(Fault("vocabulary/departures.yaml", getattr(departure, "line", 1), message))
    if faults:
        raise FaultsError(faults)
    return bundle
