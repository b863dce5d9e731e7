"""Fits worked by hand, the sums shown beside them."""

import pytest

from herbs.engine import Pattern, Presentation, bounds, fit_of, order, score
from herbs.engine.scalar import carried, raw_match_of, waste_of

from .build import catalogue, presentation

DRY = Pattern((0, -2, 0, 0))
DRY_THEN_HOT = Pattern((1, -2, 0, 0), (1, None, None, None))  # heat follows from dryness
COLD_THEN_TENSE = Pattern((-2, 0, 2, 0), (None, None, 0, None))  # tension follows from cold
LAX_DAMP = Pattern((0, 2, -2, 0), (None, 2, None, None))  # damp follows from laxity


def near(value):
    return pytest.approx(value, abs=1e-12)


@pytest.mark.parametrize(
    ("effect", "need", "leaning", "match"),
    [
        (-1, 2, 0, -0.5),  # one degree the wrong way: -1/2
        (-2, 2, 0, -1.0),
        (-3, 2, 0, -1.0),  # no worse than the worst
        (0, 2, 0, 0.0),
        (1, 2, 0, 0.5),  # half the need
        (2, 2, 0, 1.0),
        (3, 2, 0, 0.75),  # 1 - (3 - 2)/4
        (4, 1, 0, 0.25),  # 1 - (4 - 1)/4
        (-1, -2, 0, 0.5),
        (3, -2, 0, -1.0),
        (2, 2, 1, 0.75),  # 1 - 2/8: the person leans the way the herb pushes
        (2, 2, -1, 1.0),  # a leaning the other way costs nothing
        (-1, 2, -1, -0.625),  # -1/2 - 1/8
        (-2, 2, -1, -1.0),  # never below -1
        (4, 1, 1, -0.25),  # .25 - 4/8
    ],
)
def test_raw_match(effect, need, leaning, match):
    assert raw_match_of(effect, need, leaning) == near(match)


WASTES = [(2, 0, 0.125), (-2, 0, 0.125), (2, 1, 0.25), (2, -1, 0.0), (-4, -1, 0.5)]


@pytest.mark.parametrize(("effect", "leaning", "cost"), WASTES)
def test_waste(effect, leaning, cost):
    assert waste_of(effect, leaning) == near(cost)  # |e|/16, doubled with the leaning, nothing against it


@pytest.mark.parametrize(
    ("own", "lead", "match"),
    [
        (0.5, 0.8, 0.8),  # the root carries the consequence up
        (0.9, 0.8, 0.9),  # never down
        (-0.25, 1.0, 0.5),  # 1 - .25 * 2
        (-0.5, 0.5, -0.25),  # .5 - .5 * 1.5
        (-1.0, 1.0, -1.0),  # a full push the wrong way is never forgiven
        (0.5, 0.0, 0.5),  # a root not met carries nothing
        (-0.5, -0.5, -0.5),
    ],
)
def test_carried_match(own, lead, match):
    assert carried(own, lead) == near(match)


def test_a_cool_moist_relaxing_leaf_for_a_dry_cough():
    """Raw on moisture 2/2 = 1. Waste: cools 1/16, relaxes 1/16. E = 1 - .125 = .875; F = .4375 + .2 + .3 * .67 = .8385."""
    fit = fit_of((-1, 2, -1, 0), 1.0, 0.67, Presentation("lungs", "expectorant", DRY))
    assert fit.raw == (0, 1, 0, 0)
    assert fit.waste == (0.0625, 0, 0.0625, 0)
    assert fit.energetic == near(0.875)
    assert fit.fit == near(0.8385)
    assert fit.verdict == "suits"


def test_a_warm_drying_stirring_root_for_a_dry_cough():
    """Raw on moisture -min(1, 2/2) = -1. Waste (2 + 1 + 2)/16 = .3125. E = -1.3125; F = -.65625 + .5 = -.15625."""
    fit = fit_of((2, -2, 1, 2), 1.0, 1.0, presentation(DRY))
    assert fit.energetic == near(-1.3125)
    assert fit.fit == near(-0.15625)
    assert fit.verdict == "aggravates"


def test_cooling_alone_only_palliates_heat_that_follows_from_dryness():
    """Cools 2, moisture untouched: raw heat (need -1) 1 - (2 - 1)/4 = .75, raw dryness 0. E = (1 * .75 + 2 * 0)/3 = .25;
    F = .125 + .5 = .625 is enough, but the root is not met: partly."""
    fit = fit_of((-2, 0, 0, 0), 1.0, 1.0, presentation(DRY_THEN_HOT))
    assert fit.match == (0.75, 0, 0, 0)
    assert fit.energetic == near(0.25)
    assert fit.fit == near(0.625)
    assert fit.verdict == "partly"


def test_moistening_alone_carries_the_heat_that_follows():
    """Moistens 2: raw dryness 1, raw heat 0, carried max(0, 1) = 1. E = (1 + 2)/3 = 1; F = 1."""
    fit = fit_of((0, 2, 0, 0), 1.0, 1.0, presentation(DRY_THEN_HOT))
    assert fit.raw == (0, 1, 0, 0)
    assert fit.match == (1, 1, 0, 0)
    assert fit.fit == near(1.0)
    assert fit.verdict == "suits"


def test_a_cooling_drying_leaf_feeds_the_root():
    """Cools 1, dries 1: raw heat 1, raw dryness -1/2, not carried. E = (1 - 1)/3 = 0; F = .5, and yet it aggravates."""
    fit = fit_of((-1, -1, 0, 0), 1.0, 1.0, presentation(DRY_THEN_HOT))
    assert fit.energetic == near(0.0)
    assert fit.fit == near(0.5)
    assert fit.verdict == "aggravates"


def test_a_mildly_warming_moist_fruit_is_forgiven_its_warmth_by_the_root():
    """Warms .5, moistens 2: raw heat -.25, raw dryness 1; carried 1 - .25 * 2 = .5. E = (.5 + 2)/3 = .8333; F = .91667."""
    fit = fit_of((0.5, 2, 0, 0), 1.0, 1.0, presentation(DRY_THEN_HOT))
    assert fit.match == near((0.5, 1, 0, 0))
    assert fit.fit == near(0.5 * 2.5 / 3 + 0.5)
    assert fit.verdict == "suits"


def test_relaxing_without_warmth_does_not_reach_tension_that_follows_from_cold():
    """Cools 2, relaxes 2: raw cold -1, raw tension 1. E = (2 * -1 + 2 * 1)/4 = 0: it feeds the root."""
    fit = fit_of((-2, 0, -2, 0), 1.0, 1.0, presentation(COLD_THEN_TENSE))
    assert fit.energetic == near(0.0)
    assert fit.verdict == "aggravates"


def test_a_drying_leaf_that_does_not_tighten_palliates_laxity_with_damp():
    """Dries 2: raw damp 1 (need -2), raw laxity 0 on the leading axis. E = 2/4 = .5; F = .75: partly, the root is not met."""
    fit = fit_of((0, -2, 0, 0), 1.0, 1.0, presentation(LAX_DAMP))
    assert fit.energetic == near(0.5)
    assert fit.fit == near(0.75)
    assert fit.verdict == "partly"


def test_constitution_takes_its_eighth_and_doubles_waste():
    """Moistens 2, cools 2, in a person who leans damp and cool: raw 1 - 2/8 = .75; waste 2/16 * 2 = .25; E = .5; F = .75."""
    fit = fit_of((-2, 2, 0, 0), 1.0, 1.0, presentation(DRY, (-1.0, 1.0, 0.0, 0.0)))
    assert fit.raw[1] == near(0.75)
    assert fit.waste[0] == near(0.25)
    assert fit.fit == near(0.75)


@pytest.mark.parametrize(
    ("affinity", "action", "verdict"),
    [
        (0.14, 1.0, "little"),  # min(A, X) < .15
        (1.0, 0.14, "little"),
        (0.15, 1.0, "partly"),  # F = .5 + .03 + .3 = .83, but A < .33
        (0.33, 1.0, "suits"),
        (1.0, 0.32, "partly"),
        (1.0, 0.33, "suits"),
    ],
)
def test_place_and_action_bear_on_the_verdict(affinity, action, verdict):
    assert fit_of((0, 2, 0, 0), affinity, action, presentation(DRY)).verdict == verdict


@pytest.mark.parametrize(
    ("effect", "place", "verdict"),
    [
        (0.66, 1.0, "partly"),  # raw .33 < 1/3; F = .165 + .5 = .665
        (0.67, 1.0, "suits"),  # raw .335
        (0.0, 1.0, "partly"),  # F = .5
        (0.0, 0.5, "little"),  # F = .2 * .5 + .3 * .5 = .25
        (-0.49, 1.0, "partly"),  # raw -.245; F = -.1225 + .5 = .3775
        (-0.5, 1.0, "aggravates"),  # raw -.25 on the leading axis
    ],
)
def test_the_thresholds_of_the_verdicts(effect, place, verdict):
    assert fit_of((0, effect, 0, 0), place, place, presentation(DRY)).verdict == verdict


def test_the_order_in_which_verdicts_are_tried():
    wanted = presentation(DRY)
    assert fit_of((0, 2, 0, 0), 1.0, 1.0, wanted, unsafe=True, opposed=True).verdict == "unsafe"
    assert fit_of((0, 2, 0, 0), 0.0, 0.0, wanted, opposed=True).verdict == "aggravates"
    assert fit_of((0, -2, 0, 0), 0.0, 0.0, wanted).verdict == "aggravates"  # before little bearing
    assert fit_of((0, 2, 0, 0), 0.0, 1.0, wanted).verdict == "little"


def test_herbs_stand_by_verdict_then_fit_then_slug():
    """Suits: rows 2 (F 1) and 4 (waste 1/16, F .96875). Partly: rows 0 and 3, alike. Aggravates: row 1, though its F is 0."""
    effects = [(0, 0, 0, 0), (0, -2, 0, 0), (0, 2, 0, 0), (0, 0, 0, 0), (1, 2, 0, 0)]
    herbs = catalogue(effects)
    table = score(herbs, presentation(DRY))
    assert table.fit == near([0.5, 0.0, 1.0, 0.5, 0.96875])
    assert order(herbs, table) == [2, 4, 0, 3, 1]


def test_figures_that_differ_by_rounding_alone_stand_by_slug():
    for effects in ([(0, 2, 0, 0), (0, 2, 0, 1e-12)], [(0, 2, 0, 1e-12), (0, 2, 0, 0)]):
        herbs = catalogue(effects)
        table = score(herbs, presentation(DRY))
        assert table.fit[0] != table.fit[1]
        assert order(herbs, table) == [0, 1]


def test_bounds_worked_by_hand():
    """Moisture +1 to +3 for need 2, A = 1, X = .5. Raw .5 at +1, 1 at +2, .75 at +3, so E lies in .5 .. 1.
    Low: E = .5 and X = .5 weigh most, A least: (.65 * .5 + .14 + .39 * .5)/(.65 + .14 + .39) = .66/1.18.
    High: E = 1 and A = 1 weigh most, X least: (.65 + .26 + .21 * .5)/(.65 + .26 + .21) = 1.015/1.12."""
    herbs = catalogue([(0, 2, 0, 0)], [(0, 1, 0, 0)], [(0, 3, 0, 0)], affinity=1.0, action=0.5)
    found = bounds(herbs.low, herbs.high, herbs, presentation(DRY))
    assert found.low[0] == near(0.66 / 1.18)
    assert found.high[0] == near(1.015 / 1.12)
    assert found.possible[0].tolist() == [True, True, False, False, False]  # F from .559: suits or partly


def test_bounds_that_reach_past_the_wrong_way_threshold():
    """Moisture -1 to +2 for need 2: raw -.5 to 1. It may suit, and may aggravate; between, F at raw -.25 is at least
    (-.25 * .65 + .14 + .21)/(.65 + .14 + .21) = .1875, below .3: partly and little are possible too."""
    herbs = catalogue([(0, 1, 0, 0)], [(0, -1, 0, 0)], [(0, 2, 0, 0)])
    found = bounds(herbs.low, herbs.high, herbs, presentation(DRY))
    assert found.possible[0].tolist() == [True, True, True, True, False]
    assert found.low[0] == near((-0.5 * 0.65 + 0.14 + 0.21) / 1.0)
