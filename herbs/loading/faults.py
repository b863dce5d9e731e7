"""Faults found in data files."""

from dataclasses import dataclass


@dataclass(frozen=True, order=True)
class Fault:
    """One thing wrong in one file: path (relative to the data folder), line (from 1) and what to do."""

    path: str
    line: int
    message: str

    def __str__(self) -> str:
        return f"{self.path}:{self.line}: {self.message}"


class FaultsError(Exception):
    """The files have faults; nothing was changed. ``faults`` lists them in order of file and line."""

    def __init__(self, faults: list[Fault]) -> None:
        self.faults = sorted(faults)
        super().__init__("\n".join(map(str, self.faults)))
