"""Which item a student should meet next, and why.

The order of business: one in ten by lot, so that difficulties can be measured; else about every second one offers a
confusion that is shown; then pairs of herbs that are due, in an item where both stand; then herbs that are due; then weak
skills. Whatever the business, an item is sought that the student gets right with a probability near .80, and that differs
from its neighbours while it touches them: interleaving helps to tell categories apart (N. Kornell & R. A. Bjork,
Psychological Science 19, 2008, 585-592; M. S. Birnbaum, N. Kornell, E. L. Bjork & R. A. Bjork, Memory & Cognition 41, 2013,
392-402). A confusion is the exception: one is seen through by meeting it several times running.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .ability import SITE, Ability, success, with_facets
from .confusions import BIT
from .constants import (
    AGAIN,
    AIM,
    CALIBRATION_SHARE,
    CHANCE,
    CONFUSION_SHARE,
    HERB_SHARE,
    LEVEL,
    OFF_AIM,
    OUT_OF_FOCUS,
    PAIR_SHARE,
    RECENT,
    SUSPICION,
    TOUCH,
)
from .pool import ACTION_AT, AXIS_AT, SITE_AT, Floats, Ints, Pool, Served
from .skills import SURE_AWAY, skill_values

Bools = NDArray[np.bool_]
LOT, CONFUSION, CASE, PAIR, HERB, SKILL, ANY = "lot", "confusion", "case", "pair", "herb", "skill", "any"
NOBODY: Ints = np.empty(0, dtype=np.int64)


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
    found: Floats = means[pool.columns[0]]
    for column in pool.columns[1:]:
        found = found + means[column]
    return found


def gains(pool: Pool, ability: Ability) -> Floats:
    """(F + 1,) what practice of each facet of the pool is worth now: 1 in focus, less outside it, 0 once mastered; 0 for
    none.

    In focus are, of action classes and of axes each, the few that are not mastered and come nearest to it: to bring some
    skills home and then turn to others takes fewer answers than to move all at the pace of the slowest (mastery learning; B.
    S. Bloom, Evaluation Comment 1 (2), 1968), and a few at a time are still interleaved.
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
    due_pairs: Sequence[tuple[str, str]] = (), met: Ints = NOBODY, recent: Sequence[Served] = (), focus: str = "",
    rng: np.random.Generator,
) -> Choice:  # fmt: skip
    """The next item of a student, with the reason for it.

    ``shown`` are slugs of the student's confusions, the surest first; ``suspected`` of those that are likely and not yet
    sure, which an item had better offer, other things equal; ``due_herbs`` and ``due_pairs`` slugs of parts, the longest due
    first; ``met`` the rows met already, the oldest first: when none is left, the older half may come again; ``recent`` the
    last items served, the latest last; ``focus`` a confusion that the student chose to practise, which then every item offers
    that does not come by lot. Raises EmptyPoolError.
    """
    if not len(pool):
        raise EmptyPoolError("There is no item to choose from.")
    free = _free(pool, met)
    if rng.random() < CALIBRATION_SHARE:
        row = int(rng.choice(np.flatnonzero(free)))
        return Choice(row, Reason(LOT), _success(pool, ability, row))
    able = abilities(pool, ability)
    if focus and len(found := _offering(pool, focus, free)):
        return _nearest(pool, able, found, (), Reason(CONFUSION, (focus,)))
    if _case_is_due(recent) and len(found := np.flatnonzero(free & (pool.facets[:, SITE_AT] >= 0))):
        return _nearest(pool, able, found, recent, Reason(CASE))
    low, high = pool.bounds
    near = np.flatnonzero(free & (able >= low) & (able <= high))
    chance: Floats = success(able[near], pool.difficulty[near], pool.floor[near])
    gain = gains(pool, ability)
    alike, touching = _beside(pool, recent, near)
    worth = gain[pool.columns[ACTION_AT][near]] + gain[pool.columns[AXIS_AT][near]] + TOUCH * touching
    worth += (
        CHANCE * rng.random(len(near))
        - OFF_AIM * np.abs(chance - AIM)
        - AGAIN * _times(pool, recent)[pool.family[near]]
    )
    if suspected:
        worth += SUSPICION * ((pool.offers[near] & sum(BIT[slug] for slug in suspected)) > 0)
    for reason, serves, may_be_alike in _business(pool, near, shown, due_herbs, due_pairs, rng):
        found = np.flatnonzero(serves if may_be_alike else serves & ~alike)
        if len(found):
            place = found[np.argmax(worth[found])]
            row = int(near[place])
            return Choice(row, _told(pool, row, reason, gain), float(chance[place]))
        if reason.code == CONFUSION and len(rows := _offering(pool, reason.about[0], free)):
            return _nearest(pool, able, rows, (), reason)
    return _nearest(pool, able, np.flatnonzero(free), recent, Reason(ANY))


def _offering(pool: Pool, slug: str, free: Bools) -> Ints:
    """The rows that offer a confusion."""
    return np.flatnonzero(free & ((pool.offers & BIT[slug]) > 0))


def _case_is_due(recent: Sequence[Served]) -> bool:
    """Whether none of the last few items presented a case: reading one is what the rest is for."""
    return len(recent) >= RECENT and not any(name.startswith(SITE) for item in recent[-RECENT:] for name in item.facets)


def _times(pool: Pool, recent: Sequence[Served]) -> Floats:
    """How often each family of the pool was served among the last few items."""
    families = [item.family for item in recent[-RECENT:]]
    return np.array([float(families.count(name)) for name in pool.family_names])


def _nearest(pool: Pool, able: Floats, rows: Ints, recent: Sequence[Served], reason: Reason) -> Choice:
    """Of some rows the nearest to the aim, if it may be one unlike what was just served: where nothing is about as hard as
    suits, or there is something to attend to all the same."""
    alike, _ = _beside(pool, recent, rows)
    rows = rows if alike.all() else rows[~alike]
    chance: Floats = success(able[rows], pool.difficulty[rows], pool.floor[rows])
    place = int(np.argmin(np.abs(chance - AIM)))
    return Choice(int(rows[place]), reason, float(chance[place]))


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


def _beside(pool: Pool, recent: Sequence[Served], rows: Ints) -> tuple[Bools, Bools]:
    """(k,) of some rows those too like what was just served, of action and axis of the last or with a recent key; and those
    that share one of the two with the last."""
    alike = np.zeros(len(rows), dtype=np.bool_)
    if not recent:
        return alike, alike
    last = recent[-1].facets
    same = np.array([name in last for name in pool.facet_names] + [False])
    action, axis = same[pool.columns[ACTION_AT][rows]], same[pool.columns[AXIS_AT][rows]]
    alike = action & axis
    keys = pool.key_part[rows]
    for item in recent[-RECENT:]:
        place = pool.part_at.get(item.key_part)
        if place is not None:
            alike |= keys == place
    return alike, action ^ axis


def _business(
    pool: Pool, near: Ints, shown: Sequence[str], due_herbs: Sequence[str], due_pairs: Sequence[tuple[str, str]],
    rng: np.random.Generator,
) -> Iterator[tuple[Reason, Bools, bool]]:  # fmt: skip
    """What to attend to, in order: the reason, (k,) which of the rows ``near`` serve it, and whether they may be like the
    last one."""
    confusions, pairs, herbs = rng.random(3) < (CONFUSION_SHARE, PAIR_SHARE, HERB_SHARE)
    if shown and confusions:
        for slug in shown:
            yield Reason(CONFUSION, (slug,)), (pool.offers[near] & BIT[slug]) > 0, True
    if due_pairs and pairs:
        for one, other in due_pairs:
            both = np.intersect1d(pool.rows_with(one), pool.rows_with(other), assume_unique=True)
            if len(both):
                yield Reason(PAIR, (one, other)), _among(near, both), False
    if due_herbs and herbs:
        for slug in due_herbs:
            yield Reason(HERB, (slug,)), _among(near, pool.rows_with(slug)), False
    yield Reason(SKILL), np.ones(len(near), dtype=np.bool_), False


def _among(near: Ints, rows: Ints) -> Bools:
    """(k,) which of the rows ``near`` are in others; both in order."""
    if not len(rows):
        return np.zeros(len(near), dtype=np.bool_)
    places = np.minimum(np.searchsorted(rows, near), len(rows) - 1)
    return np.asarray(rows[places] == near)


def _told(pool: Pool, row: int, reason: Reason, gain: Floats) -> Reason:
    """The reason with what it speaks of: of a skill the one of the item's action class and axis that is worth more."""
    if reason.code != SKILL:
        return reason
    places = [int(pool.facets[row, column]) for column in (ACTION_AT, AXIS_AT)]
    most = max(places, key=lambda place: gain[place])
    return Reason(SKILL, (pool.facet_names[most],)) if gain[most] else Reason(ANY)
