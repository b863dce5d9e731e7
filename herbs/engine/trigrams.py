"""Names found by their trigrams, so that a spelling a letter or two off still finds its herb."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher

import numpy as np
import numpy.typing as npt

LEAST_LIKENESS = 0.33  # below it a name shares too little to be what was meant; tried on one- and two-letter slips
WHOLE, PREFIX, WORD_PREFIX = 2.0, 1.6, 1.3  # an exact name first, then names and words that begin so
CLEAR_MATCH = 1.0  # from here on the name was written as it stands: slips are then not offered beside it
COMPARED = 40  # names compared letter by letter
FloatArray = npt.NDArray[np.float64]


def trigrams(text: str) -> set[str]:
    """Sets of three letters of each word, padded so that its beginning weighs more: "hop" -> {"  h", " ho", "hop", "op "}."""
    found: set[str] = set()
    for word in text.split():
        padded = f"  {word} "
        found.update(padded[start : start + 3] for start in range(len(padded) - 2))
    return found


@dataclass(frozen=True)
class Hit:
    """A name found: its number in the index, and how like the query it is (above 1: written as it stands)."""

    number: int
    likeness: float


class TrigramIndex:
    """An index over folded names, numbered as they are given."""

    def __init__(self, names: Sequence[str]) -> None:
        """Index names that are folded already: lower-case words."""
        self.names = tuple(names)
        postings: dict[str, list[int]] = defaultdict(list)
        sizes = []
        for number, name in enumerate(self.names):
            grams = trigrams(name)
            sizes.append(len(grams))
            for gram in grams:
                postings[gram].append(number)
        self._postings = {gram: np.array(numbers, dtype=np.intp) for gram, numbers in postings.items()}
        self._sizes = np.array(sizes, dtype=float)

    def find(self, query: str, limit: int = 200) -> list[Hit]:
        """Names like a folded query, best first, ties in the index's order; none for an empty query.

        Likeness is the mean of Dice's coefficient over trigrams and the share of the query's trigrams that the name holds,
        so that a part of a long name finds it too.
        """
        grams = trigrams(query)
        known = [self._postings[gram] for gram in grams if gram in self._postings]
        if not known:
            return []
        shared = np.bincount(np.concatenate(known), minlength=len(self.names)).astype(float)
        likeness = 0.5 * (2 * shared / (self._sizes + len(grams)) + shared / len(grams))
        hits = [Hit(n, self._written(query, n)) for n in self._beginning(query)]
        if not any(hit.likeness >= CLEAR_MATCH for hit in hits):
            hits = self._near(query, likeness)
        return sorted(hits, key=lambda hit: (-hit.likeness, hit.number))[:limit]

    def _beginning(self, query: str) -> list[int]:
        """Names in which the query begins a word: they hold the trigrams of its beginning; the rarest is looked through."""
        grams = (f"  {query[0]}", f" {query[:2]}", query[:3])
        lists = [self._postings.get(gram) for gram in grams[: len(query)] if " " not in query[: len(gram.strip())]]
        if not lists or any(found is None for found in lists):
            return []
        shortest = min((found for found in lists if found is not None), key=len)
        return [int(n) for n in shortest if self._written(query, int(n))]

    def _near(self, query: str, likeness: FloatArray) -> list[Hit]:
        """Names a slip or two away: the likeliest by trigrams, in the order of the letters they share with the query."""
        alike = np.flatnonzero(likeness >= LEAST_LIKENESS)
        near = [int(n) for n in alike[np.argsort(-likeness[alike], kind="stable")[:COMPARED]]]
        matcher = SequenceMatcher(b=query, autojunk=False)
        hits = []
        for number in near:
            matcher.set_seq1(self.names[number])
            hits.append(Hit(number, 0.5 * (float(likeness[number]) + matcher.ratio()) * 0.99))
        return hits

    def _written(self, query: str, number: int) -> float:
        name = self.names[number]
        if name == query:
            return WHOLE
        if name.startswith(query):
            return PREFIX
        return WORD_PREFIX if f" {query}" in name else 0.0
