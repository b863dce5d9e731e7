"""order-by-fit: which neighbours stand apart, what decides between first and last, and what the proof notices."""

from itertools import permutations

import pytest

from herbs.engine import Pattern, bounds
from lessons.engine import responses
from lessons.engine.families import order_by_fit
from lessons.engine.proof import prove
from lessons.engine.responses import order_number
from tests.engine.build import catalogue, presentation

from .presented_items import certified, item, presented

DRYNESS = Pattern((0.0, -2.0, 0.0, 0.0))


def sound():
    """Dryness: two that suit, the one plainly more; one that partly suits; one that dries. Shown in another order."""
    rows = [
        certified("dries", 0, -2, 0, 0),
        certified("moistens-plainly", 0, 2, 0, 0),
        certified("hardly-moistens", 0, 0.4, 0, 0, affinity=0.67, action=0.67),
        certified("moistens", 0, 1.4, 0, 0),
    ]
    return item(rows, presented(0, -2, 0, 0), key=[1, 3, 2, 0])


def test_a_sound_order_holds():
    assert order_by_fit.recheck(sound()) == []


def test_no_other_order_than_the_key_is_proved():
    for order in permutations(range(4)):
        made = sound() | {"key": list(order)}
        assert bool(order_by_fit.recheck(made)) == (list(order) != [1, 3, 2, 0])


def figure(number, **changes):
    """A change of one row's figures."""
    return lambda made: made["certificate"]["rows"][number].update(changes)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (figure(3, value=[0, 1.9, 0, 0], low=[0, 1.9, 0, 0], high=[0, 1.9, 0, 0]), "not the one order"),
        (figure(1, low=[0, 1, 0, 0]), "not the one order"),
        (figure(2, high=[0, 1, 0, 0], action=1.0, affinity=1.0), "not the one order"),
        (figure(0, high=[0, 0.4, 0, 0]), "not the one order"),
        (figure(1, low=[0, -2, 0, 0]), "does not suit everywhere"),
        (figure(0, listed=False), "does not claim the action"),
        (figure(2, value=[0, 2, 0, 0]), "the verdict is not that of its figures"),
        (lambda made: made["options"][2].update(marks=["restricted"]), "toxic or restricted"),
        (lambda made: made["options"].reverse(), "of other options"),
        (
            lambda made: (made["presentation"].update(person=["word"]), figure(2, unsafe=["word"])(made)),
            "unsafe for this person",
        ),
    ],
)
def test_a_falsified_order_is_noticed(change, told):
    made = sound()
    change(made)
    assert any(told in sentence for sentence in order_by_fit.recheck(made))


@pytest.mark.parametrize(
    ("better", "worse", "apart"),
    [
        (2.0, 1.4, True),  # both suit, .15 apart at the ordinary weights
        (2.0, 1.8, False),  # both suit, .05 apart
        (2.0, -2.0, True),  # one suits, one aggravates
        (-1.0, -2.0, False),  # both aggravate: neither is above the other
    ],
)
def test_neighbours_stand_apart_by_verdict_or_by_a_tenth_of_fit(better, worse, apart):
    rows = catalogue([[0, better, 0, 0], [0, worse, 0, 0]])
    bounded = bounds(rows.low, rows.high, rows, presentation(DRYNESS))
    above = order_by_fit.better(bounded, range(2))
    assert above[0, 1] == apart
    assert not above[1, 0] and not above.diagonal().any()


def test_a_wide_interval_takes_the_place_in_the_order_away():
    rows = catalogue(
        [[0, 2, 0, 0], [0, -2, 0, 0]], low=[[0, 2, 0, 0], [0, -2, 0, 0]], high=[[0, 2, 0, 0], [0, 2, 0, 0]]
    )
    bounded = bounds(rows.low, rows.high, rows, presentation(DRYNESS))
    assert not order_by_fit.better(bounded, range(2)).any()


@pytest.mark.parametrize(
    ("effects", "figures", "decides"),
    [
        ((0, -2, 0, 0), {}, "lead"),
        ((0, 0, 0, 0), {}, "lead"),
        ((0, 2, 0, 0), {"affinity": 0.1}, "bar:place"),
        ((0, 2, 0, 0), {"action": 0.2}, "bar:lacks"),
        ((0, 2, 0, 0), {"opposed": True}, "bar:opposed"),
        ((3, 2, 0, 0), {}, "against:0"),  # warms strongly where a slight heat follows the dryness
        ((0, -2, 0, 0), {"opposed": True}, None),  # two reasons at once
        ((0, 0, 0, 0), {"affinity": 0.1}, None),
        ((3, 0, 0, 0), {}, None),
        ((0, 2, 0, 0), {}, None),  # nothing sets it below
    ],
)
def test_one_reason_decides_or_none(effects, figures, decides):
    dry_then_hot = Pattern((1.0, -2.0, 0.0, 0.0), (1, None, None, None))
    proof = prove(catalogue([effects], **figures), presentation(dry_then_hot))
    assert order_by_fit.deciding(proof, 0) == decides


def test_reasons_name_the_first_and_the_last_herb():
    made = sound()
    made["options"][1]["label"] = "elder flower, cold infusion"
    made["options"][0]["label"] = "hops"
    made["words"] = {"name": "demulcent", "action": "a demulcent", "class": "demulcents", "place": "throat"}
    assert order_by_fit.say(made, "lead", 0) == (
        "Elder flower (cold infusion) moistens plainly while hops dry plainly, and moisture leads here."
    )
    assert order_by_fit.say(made, "turned", 0) == (
        "Elder flower (cold infusion) dries plainly while hops moisten plainly, and moisture leads here."
    )
    assert order_by_fit.say(made, "axis:2", 0) == "Each of the two does not tighten or relax, and tone leads here."
    assert order_by_fit.say(made, "against:1", 0) == "Hops dry plainly, and that is the wrong way for this case."
    assert (
        order_by_fit.say(made, "bar:place", 0)
        == "The reach of hops hardly takes in the throat, whatever the qualities."
    )
    assert order_by_fit.say(made, "name:1", 0) == (
        "The stronger demulcent of the two comes first, and that is elder flower (cold infusion)."
    )


def test_marks_count_pairs_in_their_order():
    made = sound() | {"response": order_by_fit.RESPONSE}
    assert responses.mark(made, order_number([1, 3, 2, 0])) == 1000
    assert responses.mark(made, order_number([3, 1, 2, 0])) == 666
    assert responses.mark(made, order_number([0, 2, 3, 1])) == 0
