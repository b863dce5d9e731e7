"""What changed between two texts, line by line."""

from dataclasses import dataclass
from difflib import SequenceMatcher

CONTEXT = 2  # unchanged lines shown around a change


@dataclass(frozen=True)
class DiffLine:
    """One line of a comparison: "same", "removed", "added", or "gap" for unchanged lines left out (text tells how many)."""

    kind: str
    text: str


def line_diff(before: str, after: str) -> list[DiffLine]:
    """How one text becomes another; empty when they are equal."""
    old, new = before.splitlines(), after.splitlines()
    if old == new:
        return []
    lines: list[DiffLine] = []
    shown = 0  # lines of the old text told so far
    for group in SequenceMatcher(None, old, new, autojunk=False).get_grouped_opcodes(CONTEXT):
        _gap(lines, group[0][1] - shown)
        for tag, i1, i2, j1, j2 in group:
            if tag == "equal":
                lines += [DiffLine("same", text) for text in old[i1:i2]]
            else:
                lines += [DiffLine("removed", text) for text in old[i1:i2]]
                lines += [DiffLine("added", text) for text in new[j1:j2]]
        shown = group[-1][2]
    _gap(lines, len(old) - shown)
    return lines


def _gap(lines: list[DiffLine], count: int) -> None:
    if count:
        lines.append(DiffLine("gap", f"{count} unchanged line{'' if count == 1 else 's'}"))
