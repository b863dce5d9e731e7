"""Exact bounds: nothing lies outside them, they are reached, and every verdict they allow has a point that shows it."""

from dataclasses import replace

import numpy as np
import pytest

from herbs.engine import VERDICTS, InvalidPatternError, Pattern, bounds, score, shifted

from .build import WORD, catalogue, presentation
from .points import Case

SAMPLES = 10_000
SHARES = (0.1, 0.15, 0.22, 0.33, 0.335, 0.44, 0.53, 0.67, 0.8, 1.0)


def random_case(rng):
    """An interval, a pattern with or without roots, a constitution and a reach, on the grids that data use."""
    while True:
        degrees = rng.choice([-3.0, -2.0, -1.0, 0.0, 0.0, 1.0, 2.0, 3.0], 4)
        follows = [int(rng.integers(4)) if rng.random() < 0.4 else None for _ in range(4)]
        follows = [r if r is not None and r != a and degrees[a] and degrees[r] else None for a, r in enumerate(follows)]
        try:
            pattern = Pattern(tuple(degrees.tolist()), tuple(follows))
            break
        except InvalidPatternError:
            continue
    share = rng.choice([0.0, 0.5, 1.0, 1.0, 1.5, -0.5], 4)
    value = np.clip(np.round(np.array(pattern.need) * share + rng.integers(-1, 2, 4)), -4, 4)
    low = np.maximum(value - rng.choice([0.0, 0.0, 0.5, 1.0, 2.0], 4), -4)
    high = np.minimum(value + rng.choice([0.0, 0.0, 0.5, 1.0, 2.0], 4), 4)
    constitution = tuple(float(c) for c in rng.choice([-1, 0, 0, 0, 1], 4))
    affinity, action = (float(share) for share in rng.choice(SHARES, 2))
    return Case(low, high, pattern, constitution, affinity, action, rng.random() < 0.05), pattern


def bounds_of(case, pattern, **options):
    herbs = catalogue(
        (case.low + case.high) / 2, case.low, case.high, case.affinity, case.action, case.opposed, case.unsafe
    )
    wanted = presentation(pattern, case.constitution, {WORD} if case.unsafe else ())
    return bounds(herbs.low, herbs.high, herbs, wanted, **options)


@pytest.mark.parametrize("block", range(6))
def test_random_points_lie_within_the_bounds_and_the_bounds_are_reached(block):
    rng = np.random.default_rng([1, block])
    for _ in range(25):
        case, pattern = random_case(rng)
        found = bounds_of(case, pattern)
        fit, _ = case.judge(*case.samples(rng, SAMPLES))
        assert fit.min() >= found.low[0] - 1e-12
        assert fit.max() <= found.high[0] + 1e-12
        reached, _ = case.judge(*case.corners())  # admissible points, one of which must be each extreme
        assert reached.min() == pytest.approx(found.low[0], abs=1e-9)
        assert reached.max() == pytest.approx(found.high[0], abs=1e-9)
        assert np.all(found.corner_low <= found.corner_high + 1e-15)


def shown(case, possible, rng):
    """Verdicts that points show; one outside ``possible`` fails here, one inside it is sought until a point shows it."""
    points = [case.samples(rng, SAMPLES), case.corners(), case.near_thresholds(rng)]
    effects, weights = (np.vstack(column) for column in zip(*points, strict=True))
    _, verdicts = case.judge(effects, weights)
    found = set(np.unique(verdicts).tolist())
    assert found <= possible, ([VERDICTS[v] for v in found - possible], vars(case))
    return found | {v for v in possible - found if case.search(v, effects, weights, rng) is not None}


@pytest.mark.parametrize("block", range(6))
def test_the_possible_verdicts_are_those_that_points_show(block):
    rng = np.random.default_rng([2, block])
    met, widths = set(), []
    for _ in range(150):
        case, pattern = random_case(rng)
        possible = set(np.flatnonzero(bounds_of(case, pattern).possible[0]).tolist())
        assert shown(case, possible, rng) == possible, (pattern, vars(case))
        met |= possible
        widths.append(len(possible))
    assert met == {0, 1, 2, 3} and max(widths) >= 3  # the cases drawn are not all of one kind


def test_the_working_values_lie_within_the_bounds_of_the_shipped_data(medica):
    herbs = medica.catalogue
    for asking in medica.terms["asking"].values():
        for state in medica.terms["state"].values():
            follows = state.get("follows") or {}
            pattern = Pattern.from_mapping(
                {a: {"degree": d, "follows": follows.get(a)} for a, d in state["pattern"].items()}
            )
            wanted = replace(presentation(pattern), site=asking["site"], action=asking["action"])
            _, low, high = herbs.effects(wanted.site)
            found, table = bounds(low, high, herbs, wanted), score(herbs, wanted)
            assert np.all(found.low <= table.fit + 1e-12) and np.all(table.fit <= found.high + 1e-12)
            assert found.possible[np.arange(len(herbs.rows)), table.verdict].all()


SHIPPED = [
    ("respiratory", "expectorant", "dry-then-hot"),
    ("bladder", "diuretic", "tense"),
    ("bowel", "laxative", "dry"),
    ("nervous", "nervine", "hot"),
    ("stomach", "digestive-bitter", "stagnant-damp"),
    ("bronchi", "expectorant", "lax-damp"),
]


@pytest.mark.parametrize(("site", "action", "state"), SHIPPED)
def test_the_possible_verdicts_of_the_shipped_data_have_their_points(medica, site, action, state):
    herbs, entry = medica.catalogue, medica.terms["state"][state]
    follows = entry.get("follows") or {}
    pattern = Pattern.from_mapping({a: {"degree": d, "follows": follows.get(a)} for a, d in entry["pattern"].items()})
    wanted = replace(presentation(pattern), site=site, action=action)
    _, low, high = herbs.effects(site)
    found = bounds(low, high, herbs, wanted)
    rng = np.random.default_rng(3)
    s, a = herbs.site_number(site), herbs.action_number(action)
    rows = np.flatnonzero(herbs.claims_action[:, a])
    assert len(rows) >= 8
    for row in rows:
        case = Case(low[row], high[row], pattern, wanted.constitution, herbs.affinity[row, s], herbs.strength[row, a, s],
                    bool(herbs.opposes[row, a, s]))  # fmt: skip
        fit, _ = case.judge(*case.corners())
        assert fit.min() == pytest.approx(found.low[row], abs=1e-9)
        assert fit.max() == pytest.approx(found.high[row], abs=1e-9)
        possible = set(np.flatnonzero(found.possible[row]).tolist())
        assert shown(case, possible, rng) == possible, herbs.rows[row].slug


def test_a_caution_that_meets_the_person_leaves_only_unsafe():
    rng = np.random.default_rng(4)
    for _ in range(20):
        case, pattern = random_case(rng)
        case.unsafe = True
        assert np.flatnonzero(bounds_of(case, pattern).possible[0]).tolist() == [VERDICTS.index("unsafe")]


def test_slack_never_takes_a_verdict_away_and_counts_a_touch_on_both_sides():
    rng = np.random.default_rng(5)
    for _ in range(60):
        case, pattern = random_case(rng)
        exact, slack = bounds_of(case, pattern), bounds_of(case, pattern, slack=1e-6)
        assert np.all(slack.possible | ~exact.possible)
    # One herb with raw match 1/3 on the only axis (need 3, effect 1) and F = .5/3 + .2 + .3 = 2/3: it just suits.
    case = Case([0, 1, 0, 0], [0, 1, 0, 0], Pattern((0.0, -3.0, 0.0, 0.0)), (0.0,) * 4, 1.0, 1.0)
    pattern = Pattern((0.0, -3.0, 0.0, 0.0))
    assert np.flatnonzero(bounds_of(case, pattern, slack=1e-6).possible[0]).tolist() == [0, 1]


def test_half_a_degree_of_doubt_is_the_union_of_the_widened_boxes():
    rng = np.random.default_rng(6)
    for _ in range(60):
        case, pattern = random_case(rng)
        herbs = catalogue((case.low + case.high) / 2, case.low, case.high, case.affinity, case.action, case.opposed)
        wanted = presentation(pattern, case.constitution)
        low, high = shifted(herbs.low, herbs.high)
        assert low.shape == high.shape == (4, 1, 4)
        joined = bounds(low, high, herbs, wanted)
        each = [bounds(low[axis], high[axis], herbs, wanted) for axis in range(4)]
        assert joined.low[0] == min(one.low[0] for one in each)
        assert joined.high[0] == max(one.high[0] for one in each)
        assert np.array_equal(joined.possible[0], np.any([one.possible[0] for one in each], axis=0))
        for axis in range(4):
            widened = np.maximum(case.low - 0.5 * (np.arange(4) == axis), -4)
            assert np.array_equal(low[axis, 0], widened)
