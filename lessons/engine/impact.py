"""What a change of the materia medica does to an item already made: its certificate with today's figures, checked again.

Nothing is generated anew. An item whose figures moved may still hold; one whose proof fails with them does not.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from herbs.engine import Catalogue, Presentation, score

from .certificate import presentation_of
from .drafts import figure, profile_row
from .rechecking import recheck
from .workshop import Workshop

HOLDS, MOVED, FAILS, GONE = "holds", "moved", "fails", "gone"


@dataclass(frozen=True)
class Impact:
    """How an item stands with today's data: holds (nothing it rests on changed), moved (figures changed, the proof holds),
    fails, or gone (a part is no longer there); with sentences that say why."""

    status: str
    why: tuple[str, ...] = ()

    @property
    def holds(self) -> bool:
        """Whether the key is still proved."""
        return self.status in (HOLDS, MOVED)


def impact(item: Mapping[str, Any], workshop: Workshop) -> Impact:
    """How an opened item stands with the data of a workshop."""
    catalogue = workshop.catalogue
    rows = item["certificate"]["rows"]
    gone = [row["part"] for row in rows if row["part"] not in catalogue.row_index]
    if gone:
        return Impact(GONE, tuple(f"{part} is no longer in the materia medica." for part in gone))
    fresh = _rows_today(item, catalogue)
    moved = tuple(
        f"{old['part']}: {name} was {_plain(old[name])}, is {_plain(new[name])}."
        for old, new in zip(rows, fresh, strict=True)
        for name in old
        if old[name] != new[name]
    )
    certificate: dict[str, Any] = item["certificate"] | {"rows": fresh}
    if "cautioned" in certificate:
        certificate["cautioned"] = _cautions_today(item, catalogue)
        if certificate["cautioned"] != item["certificate"]["cautioned"]:
            moved = (*moved, "The cautions of its herbs have changed.")
    wrong = (*recheck(dict(item) | {"certificate": certificate}), *_notes_changed(item, workshop))
    if wrong:
        return Impact(FAILS, wrong)
    return Impact(MOVED, moved) if moved else Impact(HOLDS)


def _plain(value: object) -> str:
    return ", ".join(map(str, value)) or "none" if isinstance(value, list) else str(value)


def _rows_today(item: Mapping[str, Any], catalogue: Catalogue) -> list[dict[str, Any]]:
    rows = item["certificate"]["rows"]
    numbers = [catalogue.row_number(row["part"]) for row in rows]
    if not rows or "affinity" not in rows[0]:
        return [profile_row(catalogue, number) for number in numbers]
    presentation: Presentation = presentation_of(item)
    few = catalogue.only(numbers)
    table = score(few, presentation)
    listed = few.claims_action[:, few.action_number(presentation.action)]
    return [
        profile_row(few, number, presentation.site)
        | {
            "affinity": figure(table.affinity[number]),
            "action": figure(table.action[number]),
            "listed": bool(listed[number]),
            "opposed": bool(table.opposed[number]),
            "unsafe": list(few.unsafe_words(number)),
        }
        for number in range(len(numbers))
    ]


def _cautions_today(item: Mapping[str, Any], catalogue: Catalogue) -> list[list[str]]:
    """For each row, those of the words told of for which it has a caution of any level."""
    words = [option["slug"] for option in item["options"] if option["slug"] in catalogue.word_index]
    columns = [catalogue.word_index[word] for word in words]
    found = []
    for row in item["certificate"]["rows"]:
        held: Any = np.asarray(catalogue.cautioned[catalogue.row_number(row["part"]), columns])
        found.append([word for word, is_held in zip(words, held.tolist(), strict=True) if is_held])
    return found


def _notes_changed(item: Mapping[str, Any], workshop: Workshop) -> list[str]:
    """What no longer holds of the tastes, claims and constituents an item without presentation rests on."""
    subject = item.get("subject") or {}
    part = subject.get("part", "")
    if item["family"] not in ("taste-to-effect", "preparation") or not part:
        return []
    row = workshop.catalogue.rows[workshop.catalogue.row_number(part)]
    notes = workshop.notes.get(row.part_slug)
    if notes is None:
        return [f"Nothing is told of the tastes or constituents of {part} any more."]
    wrong = []
    if item["family"] == "taste-to-effect":
        tradition = subject["tradition"]
        now = notes.degrees.get(tradition, {})
        wrong += [
            f"The claim on {axis} was {degree}, is {now.get(axis, 'not made any more')}."
            for axis, degree in subject["claim"].items()
            if now.get(axis) != degree
        ]
        told = {*notes.tastes.get(tradition, ()), *(taste for tastes in notes.tastes.values() for taste in tastes)}
        wrong += [f"It is no longer told to taste {taste}." for taste in subject["tastes"] if taste not in told]
    elif subject.get("constituent") and subject["constituent"] not in notes.constituents:
        wrong.append(f"It is no longer told to hold {subject['constituent']}.")
    return wrong
