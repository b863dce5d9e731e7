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

import numpy as np
from numpy.typing import NDArray

from .ability import Ability, success, with_facets
from .confusions import BIT
from .constants import (
    AIM,
    CALIBRATION_SHARE,
    CONFUSION_SHARE,
    HERB_SHARE,
    LEVEL,
    OUT_OF_FOCUS,
    PAIR_SHARE,
    REACH,
    RECENT,
    SUSPICION,
)
from .pool import ACTION_AT, AXIS_AT, Floats, Ints, Pool, Served
from .skills import SURE_AWAY, skill_values

Bools = NDArray[np.bool_]
LOT, CONFUSION, PAIR, HERB, SKILL, ANY = "lot", "confusion", "pair", "herb", "skill", "any"
NOBODY: Ints = np.empty(0, dtype=np.int64)
TOUCH = 0.1  # what it is worth to share the action class or the axis with the last item, beside weakness from 0 to 2
OFF_AIM = 6.0  # what a success probability off the aim costs for each unit: within .05 of it less than a third of a skill in focus
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


def gains(pool: Pool, ability: Ability) -> Floats:
    """(F + 1,) what practice of each facet of the pool is worth now: 1 in focus, less outside it, 0 once mastered; 0 for none.

    In focus are, of action classes and of axes each, the few that are not mastered and come nearest to it: to bring some skills home and
    then turn to others takes fewer answers than to move all at the pace of the slowest (mastery learning; B. S. Bloom, Evaluation
    Comment 1 (2), 1968), and a few at a time are still interleaved.
    """
    values, errors = skill_values(ability, pool.facet_names)
    away = (values - LEVEL) / errors
    worth = np.zeros(len(away) + 1)
    for kind, focus in pool.skill_kinds:
        open_ones = kind[away[kind] < SURE_AWAY]
        ranked = open_ones[np.argsort(-away[open_ones], kind="stable")]
        worth[ranked] = OUT_OF_FOCUS
        worth[ranked[:focus]] = 1.0
    return worth


def choose(
    pool: Pool, *, ability: Ability, shown: Sequence[str] = (), suspected: Sequence[str] = (), due_herbs: Sequence[str] = (),
    due_pairs: Sequence[tuple[str, str]] = (), met: Ints = NOBODY, recent: Sequence[Served] = (), rng: np.random.Generator,
) -> Choice:  # fmt: skip
    """The next item of a student, with the reason for it.

    ``shown`` are slugs of the student's confusions, the surest first; ``suspected`` of those that are likely and not yet sure, which an
    item had better offer, other things equal; ``due_herbs`` and ``due_pairs`` slugs of parts, the longest due
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
    gain = gains(pool, ability)
    worth = gain[pool.facets[:, ACTION_AT]] + gain[pool.facets[:, AXIS_AT]] + CHANCE * rng.random(len(pool))
    worth -= OFF_AIM * np.abs(chance - AIM)
    alike, touching = _beside(pool, recent)
    worth += TOUCH * touching
    if suspected:
        worth += SUSPICION * ((pool.offers & sum(BIT[slug] for slug in suspected)) > 0)
    fresh = free & ~alike
    away = np.abs(chance - AIM)
    for reason, rows, may_be_alike in _business(pool, shown, due_herbs, due_pairs, rng):
        rows = rows[(free if may_be_alike else fresh)[rows]]
        found = rows[away[rows] <= REACH]
        if len(found):
            row = int(found[np.argmax(worth[found])])
            return Choice(row, _told(pool, row, reason, gain), float(chance[row]))
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
) -> Iterator[tuple[Reason, Ints, bool]]:
    """What to attend to, in order: the reason, the rows that serve it, and whether they may be like the last one."""
    confusions, pairs, herbs = rng.random(3) < (CONFUSION_SHARE, PAIR_SHARE, HERB_SHARE)
    if shown and confusions:
        for slug in shown:
            yield Reason(CONFUSION, (slug,)), np.flatnonzero(pool.offers & BIT[slug]), True
    if due_pairs and pairs:
        for one, other in due_pairs:
            rows = pool.rows_with(one)
            yield Reason(PAIR, (one, other)), rows[np.isin(rows, pool.rows_with(other), assume_unique=True)], False
    if due_herbs and herbs:
        for slug in due_herbs:
            yield Reason(HERB, (slug,)), pool.rows_with(slug), False
    yield Reason(SKILL), np.arange(len(pool)), False


def _told(pool: Pool, row: int, reason: Reason, gain: Floats) -> Reason:
    """The reason with what it speaks of: of a skill the one of the item's action class and axis that is worth more."""
    if reason.code != SKILL:
        return reason
    places = [int(pool.facets[row, column]) for column in (ACTION_AT, AXIS_AT)]
    most = max(places, key=lambda place: gain[place])
    return Reason(SKILL, (pool.facet_names[most],)) if gain[most] else Reason(ANY)
