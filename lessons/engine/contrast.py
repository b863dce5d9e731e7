"""What changes for questions when another teaching set decides: verdicts that flip, presentations turned contested."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from herbs.engine import VERDICTS

from .proof import Prover
from .scenery import Asking, PatternForm, Scenery

ORDINARY = 2  # the severity looked at
NO_LEANING = (0.0, 0.0, 0.0, 0.0)
DISTRACTORS = 3


@dataclass(frozen=True)
class Flip:
    """A part whose working verdict differs for a presentation."""

    asking: Asking
    pattern: PatternForm
    label: str
    slug: str
    before: str
    after: str


@dataclass(frozen=True)
class Contrast:
    """Presentations looked at; those with a provable key under each set; those that lose it; and verdicts that flip."""

    presentations: int
    provable_before: int
    provable_after: int
    contested: tuple[tuple[Asking, PatternForm], ...]
    flips: tuple[Flip, ...]


def is_provable(prover: Prover, asking: Asking, form: PatternForm) -> bool:
    """Whether some key is proved and has three distractors."""
    for pool in range(len(prover.pools(asking.action))):
        proof = prover(asking.site, asking.action, form.pattern, NO_LEANING, pool)
        if any(proof.clear_of(int(key)).sum() >= DISTRACTORS for key in np.flatnonzero(proof.sure)):
            return True
    return False


def contrast(before: Prover, after: Prover, scenery: Scenery, actions: Iterable[str]) -> Contrast:
    """Compare two teaching sets over every asking of some actions and every pattern at ordinary severity."""
    wanted = set(actions)
    looked, sure = 0, [0, 0]
    contested: list[tuple[Asking, PatternForm]] = []
    flips: list[Flip] = []
    for asking in (asking for asking in scenery.askings if asking.action in wanted):
        for form in (form for form in scenery.patterns if form.severity == ORDINARY):
            looked += 1
            provable = is_provable(before, asking, form), is_provable(after, asking, form)
            sure[0] += provable[0]
            sure[1] += provable[1]
            if provable[0] and not provable[1]:
                contested.append((asking, form))
            flips += _flips(_verdicts(before, asking, form), _verdicts(after, asking, form), asking, form)
    return Contrast(looked, sure[0], sure[1], tuple(contested), tuple(flips))


def _verdicts(prover: Prover, asking: Asking, form: PatternForm) -> dict[str, tuple[str, str]]:
    """Label and working verdict of every part that claims the action, by slug."""
    found = {}
    for number, pool in enumerate(prover.pools(asking.action)):
        proof = prover(asking.site, asking.action, form.pattern, NO_LEANING, number)
        for row in np.flatnonzero(proof.listed):
            found[pool.rows[row].slug] = pool.rows[row].label, VERDICTS[proof.table.verdict[row]]
    return found


def _flips(
    was: dict[str, tuple[str, str]], now: dict[str, tuple[str, str]], asking: Asking, form: PatternForm
) -> list[Flip]:
    """Parts listed under both sets whose verdict passes to or from *suits*."""
    both = ((slug, label, verdict, now[slug][1]) for slug, (label, verdict) in was.items() if slug in now)
    return [
        Flip(asking, form, label, slug, first, second)
        for slug, label, first, second in both
        if first != second and "suits" in (first, second)
    ]


@dataclass(frozen=True)
class KeyChange:
    """A presentation whose provable keys differ: labels of those lost and of those gained."""

    asking: Asking
    pattern: PatternForm
    lost: tuple[str, ...]
    gained: tuple[str, ...]


def key_changes(before: Prover, after: Prover, scenery: Scenery, actions: Iterable[str]) -> list[KeyChange]:
    """Presentations of some actions, at ordinary severity, whose set of provable keys differs between two teaching sets."""
    wanted = set(actions)
    found = []
    for asking in (asking for asking in scenery.askings if asking.action in wanted):
        for form in (form for form in scenery.patterns if form.severity == ORDINARY):
            was, now = _keys(before, asking, form), _keys(after, asking, form)
            if was.keys() != now.keys():
                lost = tuple(sorted(was[slug] for slug in was.keys() - now.keys()))
                gained = tuple(sorted(now[slug] for slug in now.keys() - was.keys()))
                found.append(KeyChange(asking, form, lost, gained))
    return found


def _keys(prover: Prover, asking: Asking, form: PatternForm) -> dict[str, str]:
    """Labels by slug of the parts that are proved to suit and have three distractors."""
    keys = {}
    for number, pool in enumerate(prover.pools(asking.action)):
        proof = prover(asking.site, asking.action, form.pattern, NO_LEANING, number)
        for key in np.flatnonzero(proof.sure):
            if proof.clear_of(int(key)).sum() >= DISTRACTORS:
                keys[pool.rows[key].slug] = pool.rows[key].label
    return keys
