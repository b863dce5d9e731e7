"""Everything items are made from, in one place and without a database."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from herbs.engine import AXES, Catalogue, PartNotes, PartRecord, TasteRule

from .proof import Prover
from .scenery import Scenery

PLAIN = 2 / 3  # a part has an action plainly at strength 2 of 3
ROOM = 1e-9


@dataclass(frozen=True, eq=False)
class Workshop:
    """A compiled catalogue, the scenery of questions, the prover, and what is told of parts beside their energetics.

    ``parts`` are the statements by part slug; ``heard`` the sources that decide or widen, in order; ``rules`` what tastes lead
    to expect; ``terms`` further vocabulary by kind and slug. Equal only to itself.
    """

    catalogue: Catalogue
    scenery: Scenery
    prover: Prover
    parts: Mapping[str, PartRecord] = field(default_factory=dict)
    heard: tuple[str, ...] = ()
    notes: Mapping[str, PartNotes] = field(default_factory=dict)
    rules: tuple[TasteRule, ...] = ()
    terms: Mapping[str, Mapping[str, dict[str, Any]]] = field(default_factory=dict)
    kept: dict[Any, Any] = field(default_factory=dict)  # what families compute once: cases, tables

    @cached_property
    def known(self) -> NDArray[np.float64]:
        """(P,) how widely a row's part is spoken of, 0 to 1: its rank by the number of sources that say anything of it.

        The measure of "known at the course's level" where a course names no herbs of its own.
        """
        spoken = [
            len({s.source for s in self.parts[row.part_slug].statements}) if row.part_slug in self.parts else 0
            for row in self.catalogue.rows
        ]
        return np.asarray(np.searchsorted(np.sort(spoken), spoken, side="right") / max(1, len(spoken)))

    @cached_property
    def known_of(self) -> Mapping[str, float]:
        """``known`` by row slug."""
        return {row.slug: float(k) for row, k in zip(self.catalogue.rows, self.known, strict=True)}

    def sources_of(self, slug: str, action: str | None, axes: Sequence[int]) -> tuple[str, ...]:
        """The heard sources that say something of a row on some axes or of one action, in order; kept once found."""
        key = ("sources", slug, action, tuple(axes))
        if key not in self.kept:
            self.kept[key] = self._sources(slug, action, {AXES[axis] for axis in axes})
        found: tuple[str, ...] = self.kept[key]
        return found

    def _sources(self, slug: str, action: str | None, axes: set[str]) -> tuple[str, ...]:
        row = self.catalogue.rows[self.catalogue.row_number(slug)]
        if row.part_slug not in self.parts:
            return ()
        said = {
            s.source
            for s in self.parts[row.part_slug].statements
            if s.form in (None, row.form)
            and ((s.predicate == "degree" and s.subject in axes) or (s.predicate == "action" and s.subject == action))
        }
        return tuple(source for source in self.heard if source in said)

    def cautioned(self, catalogue: Catalogue) -> NDArray[np.bool_]:
        """(P, W) any caution of a pool's rows for a word or for what the word implies, as tablets imply what they are for."""
        key = ("cautioned", id(catalogue))
        if key not in self.kept:
            found = catalogue.cautioned.copy()
            for word, column in catalogue.word_index.items():
                for implied in self.scenery.words[word].implies & catalogue.word_index.keys():
                    found[:, column] |= catalogue.cautioned[:, catalogue.word_index[implied]]
            self.kept[key] = catalogue, found  # with the catalogue, so that its number is not given to another
        pair: tuple[Catalogue, NDArray[np.bool_]] = self.kept[key]
        return pair[1]

    def genera(self, catalogue: Catalogue) -> NDArray[np.int64]:
        """(P,) a number for the genus of each of a pool's rows."""
        key = ("genera", id(catalogue))
        if key not in self.kept:
            names = [row.latin.split()[0] for row in catalogue.rows]
            self.kept[key] = catalogue, np.unique(names, return_inverse=True)[1].astype(np.int64)
        pair: tuple[Catalogue, NDArray[np.int64]] = self.kept[key]
        return pair[1]

    def plainly(self, action: str) -> NDArray[np.bool_]:
        """(P,) rows that have an action plainly (strength 2 of 3) at some site; none has one that does not exist."""
        if action not in self.catalogue.action_index:
            return np.zeros(len(self.catalogue.rows), dtype=np.bool_)
        strengths = self.catalogue.strength[:, self.catalogue.action_number(action), :]
        return np.asarray(strengths.max(axis=1) >= PLAIN - ROOM)

    @cached_property
    def class_actions(self) -> tuple[str, ...]:
        """Slugs of the action classes that are asked about."""
        return tuple(slug for slug, term in self.catalogue.actions.items() if term.is_class)
