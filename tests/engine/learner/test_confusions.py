"""The catalogue of confusions, what an answer says of them, and the evidence that gathers."""

import json

import pytest
from scipy.stats import beta

from quizzes.engine.learner import (
    BIT,
    CATALOGUE,
    SLUGS,
    cohort_rate,
    cohort_rates,
    confusion_of_fault,
    confusion_of_reason,
    events,
    evidence_from_json,
    evidence_to_json,
    offers,
    probability,
    recorded,
    shown,
    suspected,
)
from quizzes.engine.learner.constants import CLEARED_BELOW, CONCENTRATION, DEFAULT_RATE, SHOWN_FROM

MOISTURE, ROOT, PLACE = "wrong-moisture", "consequence-for-root", "place-overlooked"
BOTH = {MOISTURE, ROOT}


def item(**other):
    """Two wrong options; the reasons for the second hold a misconception."""
    return {
        "family": "best-fit",
        "response": "choose",
        "key": 0,
        "options": [{"fault": None}, {"fault": "wrong moisture"}, {"fault": "no such fault"}],
        "because": [
            [{"code": "lead", "status": "decisive"}, {"code": "mirror", "status": "false"}],
            [{"code": "lead", "status": "decisive"}, {"code": "axis:0", "status": "misconception"}],
            [{"code": "lead", "status": "decisive"}, {"code": "reach", "status": "true"}],
        ],
    } | other


def test_the_catalogue_is_small_and_says_what_it_means():
    assert len(CATALOGUE) == len(set(SLUGS)) <= 12
    for confusion in CATALOGUE:
        assert confusion.sentence.endswith(".")
        assert " you " in f" {confusion.sentence.lower()} "
        assert confusion.advice.endswith((".", "?"))
        assert confusion.faults or confusion.reasons
    collected = [fault for confusion in CATALOGUE for fault in confusion.faults]
    assert len(collected) == len(set(collected))
    assert sum(BIT.values()) == 2 ** len(SLUGS) - 1


@pytest.mark.parametrize(
    ("choice", "reason", "offered", "taken"),
    [
        (0, None, {MOISTURE}, set()),
        (1, None, {MOISTURE}, {MOISTURE}),
        (0, 1, {MOISTURE}, set()),
        (1, 0, BOTH, {MOISTURE}),  # the reason was shown, and not taken
        (1, 1, BOTH, BOTH),
        (2, 1, {MOISTURE}, set()),  # an unknown fault is nobody's
    ],
)
def test_what_an_answer_offers_and_takes(choice, reason, offered, taken):
    assert events(item(), choice, reason) == (offered, taken)


@pytest.mark.parametrize("response", ["rank", "match", "place", "lean"])
def test_an_order_or_a_place_takes_nothing_by_itself(response):
    reasons = [[{"code": "lead", "status": "decisive"}, {"code": "axis:0", "status": "misconception"}]]
    asked = item(response=response, because=reasons, options=[{"fault": "wrong moisture"}] * 4)
    assert events(asked, 3, None) == (set(), set())
    assert events(asked, 3, 1) == ({ROOT}, {ROOT})
    assert offers(asked) == BIT[ROOT]


def test_offers_that_do_not_hang_on_the_answer():
    assert offers(item()) == BIT[MOISTURE]  # its reasons depend on the option


def test_only_misconceptions_count_among_reasons():
    assert confusion_of_reason("best-fit", "axis:2", "misconception") == ROOT
    assert confusion_of_reason("name-the-state", "axis:2", "decisive") is None
    assert confusion_of_reason("name-the-state", "disorder", "false") == ROOT
    assert confusion_of_reason("point-of-difference", "calls:tone+", "false") is None
    assert confusion_of_reason("caution", "less:2", "misconception") == "name-for-reason"
    assert confusion_of_reason("caution", "less:1", "misconception") == "caution-overlooked"
    assert confusion_of_fault("best-fit", "no such fault") is None


def test_the_probability_is_the_tail_of_a_beta():
    record = {}
    for taken in (True, False, True):
        record = recorded(record, {PLACE}, {PLACE} if taken else set(), {PLACE: 0.1})
    fade = 0.5 ** (1 / 20)
    took, met = fade**2 + 1, fade**2 + fade + 1
    evidence = record[PLACE]
    assert (evidence.taken, evidence.offered) == pytest.approx((took, met))
    assert (evidence.times_taken, evidence.times_offered) == (2, 3)
    a, b = CONCENTRATION * 0.1 + took, CONCENTRATION * 0.9 + met - took
    assert probability(evidence, 0.1) == pytest.approx(beta.sf(0.2, a, b), abs=1e-9)


def test_what_everybody_does_is_nobodys_confusion():
    record = {}
    for number in range(30):
        record = recorded(record, {PLACE}, {PLACE} if number % 2 else set(), {PLACE: 0.45})
    assert probability(record[PLACE], 0.45) < 0.5
    assert probability(record[PLACE], 0.08) > SHOWN_FROM


def taken_times(count, record=None, taken=True):
    for _ in range(count):
        record = recorded(record or {}, {PLACE}, {PLACE} if taken else set())
    return record


def test_three_times_is_an_accident_however_sure():
    rare, record = {PLACE: 0.02}, {}
    for _ in range(3):
        record = recorded(record, {PLACE}, {PLACE}, rare)
    assert probability(record[PLACE], 0.02) > SHOWN_FROM
    assert shown(record, rare) == ()
    assert shown(recorded(record, {PLACE}, set(), rare), rare) == (PLACE,)


def test_what_is_likely_is_suspected_until_it_is_shown():
    assert shown(taken_times(3)) == ()
    assert suspected(taken_times(3)) == (PLACE,)
    assert shown(taken_times(4)) == (PLACE,)
    assert suspected(taken_times(4)) == ()


def test_it_stays_until_it_is_unlikely_and_then_starts_afresh():
    record, clean = taken_times(6), 0
    while shown(record):
        assert probability(record[PLACE]) >= CLEARED_BELOW
        record = taken_times(1, record, taken=False)
        clean += 1
    assert probability(record[PLACE]) < CLEARED_BELOW
    assert 5 < clean < 60
    below_shown = [shown(taken_times(number, taken_times(6), taken=False)) for number in range(clean)]
    assert all(below_shown)  # on the way down it is shown below the probability at which it came
    assert record[PLACE].since_cleared == 0
    assert (record[PLACE].times_taken, record[PLACE].times_offered) == (6, 6 + clean)
    again = taken_times(3, record)
    assert shown(again) == ()


def test_the_surest_comes_first():
    record = taken_times(5)
    for _ in range(9):
        record = recorded(record, {ROOT}, {ROOT})
    assert shown(record) == (ROOT, PLACE)


def test_a_cohorts_rate_is_drawn_to_the_default_while_little_is_known():
    assert cohort_rate(0, 0) == DEFAULT_RATE
    assert cohort_rate(1, 1) < 0.1
    assert cohort_rate(3000, 10_000) == pytest.approx(0.3, abs=0.002)
    rates = cohort_rates([taken_times(40), taken_times(40, taken=False), {}])
    assert rates[PLACE] == cohort_rate(40, 80)
    assert rates[ROOT] == DEFAULT_RATE
    assert set(rates) == set(SLUGS)


def test_the_record_is_plain_json():
    record = recorded(taken_times(5), {ROOT}, set())
    stored = json.loads(json.dumps(evidence_to_json(record)))
    again = evidence_from_json(stored)
    assert again.keys() == record.keys()
    assert again[PLACE].is_shown
    assert again[PLACE].taken == pytest.approx(record[PLACE].taken, abs=1e-4)
    assert evidence_to_json(again) == stored
    assert evidence_from_json(stored | {"a-confusion-of-old": [1, 1, 1, 1, 1, 0]}).keys() == record.keys()
