"""Every fault and every misconception of real items belongs to a confusion."""

from collections import Counter

import pytest

from lessons.engine import FAMILIES, responses
from lessons.engine.audit.clues import TYPICAL_ERRORS
from lessons.engine.faults import FAULTS
from quizzes.engine import feedback, reasons_for
from quizzes.engine.learner import CATALOGUE, SLUGS, confusion_of_fault, confusion_of_reason, events

pytestmark = pytest.mark.django_db
SEEDS = range(101, 109)


@pytest.mark.parametrize("family", FAMILIES)
def test_every_fault_and_misconception_of_a_family_is_collected(maker, family):
    for seed in SEEDS:
        item = maker.make(family, seed)
        if item["response"] == "choose":
            faults = [option["fault"] for option in item["options"] if option["fault"]]
            assert faults
            assert {
                fault: confusion_of_fault(family, fault) for fault in faults if not confusion_of_fault(family, fault)
            } == {}
        for choice in range(responses.count(item)):
            for reason in reasons_for(item, choice):
                found = confusion_of_reason(family, reason["code"], reason["status"])
                assert found in SLUGS or reason["status"] != "misconception", reason
                assert found is None or reason["status"] in ("misconception", "false")


@pytest.mark.parametrize("family", FAMILIES)
def test_what_an_answer_takes_was_offered(maker, family):
    taken_ever = Counter()
    for seed in SEEDS[:4]:
        item = maker.make(family, seed)
        for choice in range(responses.count(item)):
            before, at_once = events(item, choice, None)
            for reason in range(len(reasons_for(item, choice))):
                offered, taken = events(item, choice, reason)
                assert taken <= offered <= set(SLUGS)
                assert before <= offered
                assert at_once <= taken
                taken_ever.update(taken)
        if item["response"] != "choose":
            assert events(item, 0, None) == (frozenset(), frozenset())
    assert taken_ever


def test_every_fault_that_is_named_anywhere_is_collected():
    assert [fault for fault in FAULTS if not confusion_of_fault("best-fit", fault)] == []
    assert [fault for fault in TYPICAL_ERRORS if not confusion_of_fault("", fault)] == []
    told = [(family, fault) for family, faults in feedback.FAMILY_FAULTS.items() for fault in faults]
    assert [pair for pair in told if not confusion_of_fault(*pair)] == []


def test_no_confusion_collects_what_is_never_offered():
    """A fault of the catalogue that nobody names would be a misspelling."""
    known = {*FAULTS, *TYPICAL_ERRORS}
    named = {fault.rpartition("/")[2] for confusion in CATALOGUE for fault in confusion.faults}
    assert named <= known
    assert {name.partition("/")[0] for c in CATALOGUE for name in c.faults if "/" in name} <= set(FAMILIES)
