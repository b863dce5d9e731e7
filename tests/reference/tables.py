"""Reading the fact tables of this folder."""

import csv
from pathlib import Path

FOLDER = Path(__file__).parent


def table(name: str) -> list[dict[str, str]]:
    """The rows of a table; lines that start with # are remarks."""
    lines = (FOLDER / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))
