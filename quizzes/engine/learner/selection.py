"""Which item a student should meet next, and why.

The order of business: one in ten by lot, so that difficulties can be measured; else about every second one offers a confusion that is
shown; then pairs of herbs that are due, in an item where both stand; then herbs that are due; then weak skills. Whatever the business,
an item is sought that the student gets right with a probability near .80, and that differs from its neighbours while it
touches them: interleaving helps to tell categories apart (N. Kornell & R. A. Bjork, Psychological Science 19, 2008, 585-592;
M. S. Birnbaum, N. Kornell, E. L. Bjork & R. A. Bjork, Memory & Cognition 41, 2013, 392-402). A confusion is the exception: one
is seen through by meeting it several times running.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import erf, sqrt

import numpy as np
from numpy.typing import NDArray

from .ability import Ability, success, with_facets
from .confusions import BIT
from .constants import (
    AIM,
    CALIBRATION_SHARE,
    CONFUSION_SHARE,
    HERB_SHARE,
    HIGHEST_SUCCESS,
    LEVEL,
    LOWEST_SUCCESS,
    PAIR_SHARE,
    RECENT,
    WIDER,
)
from .pool import ACTION_AT, AXIS_AT, Floats, Ints, Pool, Served

Bools = NDArray[np.bool_]
LOT, CONFUSION, PAIR, HERB, SKILL, ANY = "lot", "confusion", "pair", "herb", "skill", "any"
NOBODY: Ints = np.empty(0, dtype=np.int64)
TOUCH = 0.1  # what it is worth to share the action class or the axis with the last item, beside weakness from 0 to 2
OFF_AIM = 4.0  # what a success probability off the aim costs: .05 off is two such touches
CHANCE = 0.15  # a share of chance, so that no two students with the same record meet the same items


class EmptyPoolError(ValueError):
    """There is no item to choose from."""


@dataclass(frozen=True)
class Reason:
    """Why an item was chosen: a code, and the slugs or facets it speaks of."""

    code: str
    about: tuple[str, ...] = ()


@dataclass(frozen=True)
class Choice:
    """A row of the pool, why it was chosen, and the probability the model gives the student of getting it right."""

    row: int
    reason: Reason
    success: float


def abilities(pool: Pool, ability: Ability) -> Floats:
    """(N,) the student's ability on every item."""
    ability = with_facets(ability, pool.facet_names)
    means = np.zeros(len(pool.facet_names) + 1)  # the last one, 0, stands for an absent facet
    means[:-1] = ability.mean[[ability.places[name] for name in pool.facet_names]]
    found: Floats = means[pool.facets[:, 0]]
    for column in range(1, pool.facets.shape[1]):
        found = found + means[pool.facets[:, column]]
    return found


def weaknesses(pool: Pool, ability: Ability) -> Floats:
    """(F + 1,) for every facet of the pool the probability that overall + facet is below the level of mastery; 0 for none."""
    ability = with_facets(ability, pool.facet_names)
    at = [ability.places[name] for name in pool.facet_names]
    value = ability.mean[0] + ability.mean[at]
    variance = ability.covariance[0, 0] + ability.covariance[at, at] + 2.0 * ability.covariance[0, at]
    away = (LEVEL - value) / np.sqrt(np.maximum(variance, 1e-6))
    return np.array([*(0.5 * (1.0 + erf(z / sqrt(2.0))) for z in away), 0.0])


def choose(
    pool: Pool, *, ability: Ability, shown: Sequence[str] = (), due_herbs: Sequence[str] = (),
    due_pairs: Sequence[tuple[str, str]] = (), met: Ints = NOBODY, recent: Sequence[Served] = (), rng: np.random.Generator,
) -> Choice:  # fmt: skip
    """The next item of a student, with the reason for it.

    ``shown`` are slugs of the student's confusions, the surest first; ``due_herbs`` and ``due_pairs`` slugs of parts, the longest due
    first; ``met`` the rows met already, the oldest first: when none is left, the older half may come again; ``recent`` the
    last items served, the latest last. Raises EmptyPoolError.
    """
    if not len(pool):
        raise EmptyPoolError("There is no item to choose from.")
    free = _free(pool, met)
    if rng.random() < CALIBRATION_SHARE:
        row = int(rng.choice(np.flatnonzero(free)))
        return Choice(row, Reason(LOT), _success(pool, ability, row))
    chance: Floats = success(abilities(pool, ability), pool.difficulty, pool.floor)
    weak = weaknesses(pool, ability)
    worth = weak[pool.facets[:, ACTION_AT]] + weak[pool.facets[:, AXIS_AT]] + CHANCE * rng.random(len(pool))
    worth -= OFF_AIM * np.abs(chance - AIM)
    alike, touching = _beside(pool, recent)
    worth += TOUCH * touching
    fresh = free & ~alike
    near = (chance >= LOWEST_SUCCESS) & (chance <= HIGHEST_SUCCESS)
    wide = (chance >= LOWEST_SUCCESS - WIDER) & (chance <= HIGHEST_SUCCESS + WIDER)
    for reason, among, may_be_alike in _business(pool, shown, due_herbs, due_pairs, rng):
        allowed = (free if may_be_alike else fresh) & among
        for window in (near, wide):
            found = np.flatnonzero(allowed & window)
            if len(found):
                row = int(found[np.argmax(worth[found])])
                return Choice(row, _told(pool, row, reason, weak), float(chance[row]))
    found = np.flatnonzero(fresh if fresh.any() else free)
    row = int(found[np.argmin(np.abs(chance[found] - AIM))])
    return Choice(row, Reason(ANY), float(chance[row]))


def _success(pool: Pool, ability: Ability, row: int) -> float:
    ability = with_facets(ability, pool.facet_names)
    value = sum(ability.mean[ability.places[name]] for name in pool.facets_of(row))
    return float(success(float(value), float(pool.difficulty[row]), float(pool.floor[row])))


def _free(pool: Pool, met: Ints) -> Bools:
    free = np.ones(len(pool), dtype=np.bool_)
    free[met] = False
    if not free.any():
        last = dict(zip(met.tolist(), range(len(met)), strict=True))  # an item met twice counts from the later time
        order = sorted(last, key=last.__getitem__)
        free[order[: (len(order) + 1) // 2]] = True
    return free


def _beside(pool: Pool, recent: Sequence[Served]) -> tuple[Bools, Bools]:
    """(N,) items too like those just served: of action and axis of the last, or with a recent key; and those that share one of the two."""
    alike = np.zeros(len(pool), dtype=np.bool_)
    if not recent:
        return alike, alike
    last = recent[-1].facets
    same = np.array([name in last for name in pool.facet_names] + [False])
    action, axis = same[pool.facets[:, ACTION_AT]], same[pool.facets[:, AXIS_AT]]
    alike = action & axis
    for item in recent[-RECENT:]:
        place = pool.part_at.get(item.key_part)
        if place is not None:
            alike |= pool.key_part == place
    return alike, action ^ axis


def _business(
    pool: Pool, shown: Sequence[str], due_herbs: Sequence[str], due_pairs: Sequence[tuple[str, str]], rng: np.random.Generator
) -> Iterator[tuple[Reason, Bools, bool]]:
    """What to attend to, in order: the reason, (N,) items that serve it, and whether they may be like the last one."""
    confusions, pairs, herbs = rng.random(3) < (CONFUSION_SHARE, PAIR_SHARE, HERB_SHARE)
    if shown and confusions:
        for slug in shown:
            yield Reason(CONFUSION, (slug,)), (pool.offers & BIT[slug]) > 0, True
    if due_pairs and pairs:
        for one, other in due_pairs:
            rows = np.intersect1d(pool.rows_with(one), pool.rows_with(other))
            if len(rows):
                yield Reason(PAIR, (one, other)), _marked(pool, rows), False
    if due_herbs and herbs:
        for slug in due_herbs:
            rows = pool.rows_with(slug)
            if len(rows):
                yield Reason(HERB, (slug,)), _marked(pool, rows), False
    yield Reason(SKILL), np.ones(len(pool), dtype=np.bool_), False


def _marked(pool: Pool, rows: Ints) -> Bools:
    marked = np.zeros(len(pool), dtype=np.bool_)
    marked[rows] = True
    return marked


def _told(pool: Pool, row: int, reason: Reason, weak: Floats) -> Reason:
    """The reason with what it speaks of: of a weak skill the weaker one of the item's action class and axis."""
    if reason.code != SKILL:
        return reason
    places = [int(pool.facets[row, column]) for column in (ACTION_AT, AXIS_AT)]
    weakest = max(places, key=lambda place: weak[place])
    return Reason(SKILL, (pool.facet_names[weakest],)) if weakest >= 0 else Reason(ANY)
