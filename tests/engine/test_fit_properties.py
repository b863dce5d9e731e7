"""What holds of every fit, whatever the herb and the pattern."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from herbs.engine import VERDICTS, Pattern, fit_of, score
from herbs.engine.axes import CONSTITUTION_COST, OVERSHOOT_SPAN, WRONG_WAY_SLOPE
from herbs.engine.scalar import carried, raw_match_of, waste_of

from .build import WORD, catalogue, degrees, four_effects, leanings, patterns, presentation, shares, whole_degrees

quick = settings(max_examples=150, deadline=None, database=None)
leaning = st.sampled_from((-1.0, 0.0, 1.0))
need = whole_degrees.filter(bool)
match = st.floats(-1, 1, allow_nan=False)
REACHES = (1.0, 1.0)  # full affinity and action, so that only the energetics decide


@quick
@given(patterns, four_effects, leanings)
def test_the_contrary_is_the_best_effect(pattern, effects, constitution):
    wanted = presentation(pattern, constitution)
    contrary = fit_of(pattern.need, *REACHES, wanted)
    other = fit_of(effects, *REACHES, wanted)
    assert contrary.energetic >= other.energetic - 1e-12
    assert contrary.fit >= other.fit - 1e-12


@quick
@given(patterns)
def test_the_contrary_matches_in_full_and_suits(pattern):
    fit = fit_of(pattern.need, *REACHES, presentation(pattern))
    assert fit.energetic == pytest.approx(1.0, abs=1e-12)
    assert fit.fit == pytest.approx(1.0, abs=1e-12)
    assert fit.verdict == "suits"


@quick
@given(degrees, need, leaning)
def test_raw_match_lies_between_minus_one_and_one(effect, wanted, lean):
    assert -1 <= raw_match_of(effect, wanted, lean) <= 1


@quick
@given(match, match)
def test_carried_match_lies_between_minus_one_and_one(own, lead):
    assert -1 <= carried(own, lead) <= 1
    assert carried(own, lead) >= own  # a root that is met never makes the consequence worse


@quick
@given(patterns, four_effects, leanings)
def test_every_match_of_a_fit_is_bounded(pattern, effects, constitution):
    fit = fit_of(effects, *REACHES, presentation(pattern, constitution))
    assert all(-1 <= m <= 1 for m in (*fit.raw, *fit.match))
    # Three idle axes at four degrees, with the constitution leaning along, waste 3 * 4/16 * 2 = 1.5 at most.
    assert -2.5 <= fit.energetic <= 1
    for axis, wanted in enumerate(pattern.need):
        assert (fit.waste[axis] if wanted else fit.raw[axis]) == 0


def _steepest(wanted: float) -> float:
    """The steepest slope of raw match against the effect, from the three straight pieces and the constitution."""
    return max(1 / abs(wanted), 1 / WRONG_WAY_SLOPE, 1 / OVERSHOOT_SPAN) + 1 / CONSTITUTION_COST


@quick
@given(degrees, need, leaning, st.floats(-1e-3, 1e-3, allow_nan=False))
def test_a_small_step_changes_raw_match_little(effect, wanted, lean, step):
    change = raw_match_of(effect + step, wanted, lean) - raw_match_of(effect, wanted, lean)
    assert abs(change) <= _steepest(wanted) * abs(step) + 1e-12


@quick
@given(match, match, st.floats(-1e-3, 1e-3, allow_nan=False), st.floats(-1e-3, 1e-3, allow_nan=False))
def test_a_small_step_changes_the_carried_match_little(own, lead, step_own, step_lead):
    moved = carried(np.clip(own + step_own, -1, 1), np.clip(lead + step_lead, -1, 1))
    assert abs(moved - carried(own, lead)) <= 2 * (abs(step_own) + abs(step_lead)) + 1e-12


@quick
@given(patterns, four_effects, leanings, st.integers(0, 3), st.floats(-1e-3, 1e-3, allow_nan=False))
def test_a_small_step_changes_energetic_match_little(pattern, effects, constitution, axis, step):
    wanted = presentation(pattern, constitution)
    moved = list(effects)
    moved[axis] += step
    change = fit_of(tuple(moved), *REACHES, wanted).energetic - fit_of(effects, *REACHES, wanted).energetic
    # A step on a root moves at most its own match and those of what follows it, none more than twice as fast.
    steepest = 2 * _steepest(pattern.need[axis]) if pattern.need[axis] else 0.125
    assert abs(change) <= steepest * abs(step) + 1e-12


@quick
@given(patterns, four_effects, leanings, st.integers(0, 3), shares, shares)
def test_fit_rises_up_to_the_need_and_falls_beyond_it(pattern, effects, constitution, axis, one, two):
    wanted = pattern.need[axis]
    assume(wanted)
    sign = np.sign(wanted)
    near, far = sorted((one, two))

    def energetic(effect):
        placed = [*effects[:axis], float(effect), *effects[axis + 1 :]]
        return fit_of(tuple(placed), *REACHES, presentation(pattern, constitution)).energetic

    start, end = -4 * sign, 4 * sign
    assert energetic(start + near * (wanted - start)) <= energetic(start + far * (wanted - start)) + 1e-12
    assert energetic(wanted + near * (end - wanted)) >= energetic(wanted + far * (end - wanted)) - 1e-12


@quick
@given(patterns, four_effects, leanings, shares, shares)
def test_feeding_a_root_always_aggravates(pattern, effects, constitution, affinity, action):
    assume(pattern.roots)
    fit = fit_of(effects, affinity, action, presentation(pattern, constitution))
    if any(fit.raw[axis] <= -0.25 for axis in pattern.roots):
        assert fit.verdict == "aggravates"


@quick
@given(patterns.filter(lambda pattern: pattern.roots), st.data())
def test_a_root_fed_by_half_a_degree_is_never_saved_by_the_rest(pattern, data):
    root = data.draw(st.sampled_from(pattern.roots))
    effects = list(pattern.need)
    effects[root] = -np.sign(pattern.need[root]) * data.draw(st.floats(0.5, 4))
    assert fit_of(tuple(effects), *REACHES, presentation(pattern)).verdict == "aggravates"


@quick
@given(patterns, four_effects, leanings, shares, shares)
def test_no_full_push_the_wrong_way_suits(pattern, effects, constitution, affinity, action):
    fit = fit_of(effects, affinity, action, presentation(pattern, constitution))
    if any(fit.raw[axis] == -1 for axis, wanted in enumerate(pattern.need) if wanted):
        assert fit.verdict == "aggravates"
    assert fit.verdict != "suits" or all(m >= 0 for m in fit.match)


@quick
@given(patterns, st.integers(0, 3), st.floats(2, 4))
def test_a_full_push_the_wrong_way_spoils_an_otherwise_perfect_herb(pattern, axis, size):
    assume(pattern.need[axis])
    effects = list(pattern.need)
    effects[axis] = -np.sign(pattern.need[axis]) * size
    fit = fit_of(tuple(effects), *REACHES, presentation(pattern))
    assert fit.raw[axis] == -1
    assert fit.verdict == "aggravates"


@quick
@given(patterns, four_effects, leanings)
def test_constitution_only_lowers_the_match(pattern, effects, constitution):
    plain = fit_of(effects, *REACHES, presentation(pattern))
    leaned = fit_of(effects, *REACHES, presentation(pattern, constitution))
    assert all(after <= before + 1e-15 for after, before in zip(leaned.raw, plain.raw, strict=True))
    assert all(after <= before + 1e-15 for after, before in zip(leaned.match, plain.match, strict=True))


@quick
@given(degrees, leaning)
def test_constitution_doubles_waste_with_it_and_forgives_waste_against_it(effect, lean):
    plain, leaned = waste_of(effect, 0.0), waste_of(effect, lean)
    expected = 2 * plain if lean * effect > 0 else 0.0 if lean * effect < 0 else plain
    assert leaned == expected


@quick
@given(patterns, four_effects, leanings, shares, shares, st.sampled_from(("affinity", "action")), shares)
def test_more_affinity_or_action_never_lowers_the_fit(pattern, effects, constitution, affinity, action, which, more):
    wanted = presentation(pattern, constitution)
    before = fit_of(effects, affinity, action, wanted)
    raised = {"affinity": affinity, "action": action}
    raised[which] = max(raised[which], more)
    after = fit_of(effects, raised["affinity"], raised["action"], wanted)
    assert after.fit >= before.fit
    assert VERDICTS.index(after.verdict) <= VERDICTS.index(before.verdict)


row = st.tuples(four_effects, shares, shares, st.booleans(), st.booleans())


@settings(max_examples=200, deadline=None, database=None)
@given(patterns, leanings, st.booleans(), st.lists(row, min_size=1, max_size=12))
def test_one_herb_and_the_whole_catalogue_agree(pattern, constitution, meets_word, rows):
    effects, affinity, action, opposed, unsafe = zip(*rows, strict=True)
    wanted = presentation(pattern, constitution, {WORD} if meets_word else ())
    table = score(catalogue(effects, affinity=affinity, action=action, opposed=opposed, unsafe=unsafe), wanted)
    for number in range(len(rows)):
        one = fit_of(
            effects[number], affinity[number], action[number], wanted,
            opposed=opposed[number], unsafe=unsafe[number] and meets_word,
        )  # fmt: skip
        for name in ("raw", "match", "waste", "energetic", "fit"):
            assert np.asarray(getattr(one, name)) == pytest.approx(getattr(table, name)[number], abs=1e-12), name
        assert one.verdict == VERDICTS[int(table.verdict[number])]


def test_one_herb_and_the_shipped_catalogue_agree(medica):
    shipped = medica.catalogue
    seen = set()
    for asking in medica.terms["asking"].values():
        for mixed in medica.terms["mixed-pattern"].values():
            follows = mixed.get("follows") or {}
            shape = {
                axis: {"degree": degree, "follows": follows.get(axis)} for axis, degree in mixed["pattern"].items()
            }
            wanted = replace(presentation(Pattern.from_mapping(shape)), site=asking["site"], action=asking["action"])
            table = score(shipped, wanted)
            for number in range(0, len(shipped.rows), 7):
                one = fit_of(
                    tuple(table.effects[number]), table.affinity[number], table.action[number], wanted,
                    opposed=bool(table.opposed[number]),
                )  # fmt: skip
                assert one.fit == pytest.approx(table.fit[number], abs=1e-12)
                assert one.verdict == VERDICTS[int(table.verdict[number])]
                seen.add(one.verdict)
    assert seen == {"suits", "partly", "little", "aggravates"}
