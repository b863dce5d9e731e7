"""would-aggravate: what its proof notices, and what it counts as one reason."""

import pytest

from herbs.engine import Pattern
from lessons.engine.families import would_aggravate
from lessons.engine.proof import prove
from tests.engine.build import catalogue, presentation

from .presented_items import certified, item, presented

DRYNESS = presented(0, -2, 0, 0)
WORDS = {"name": "demulcent", "action": "a demulcent", "class": "demulcents", "place": "throat"}


def sound():
    """Dryness: an herb that dries, two that moisten, and one that moistens but hardly reaches the place."""
    rows = [
        certified("dries", 0, -2, 0, 0),
        certified("moistens", 0, 2, 0, 0),
        certified("moistens-a-little", 0, 0.2, 0, 0, affinity=0.67, action=0.67),
        certified("elsewhere", 0, 2, 0, 0, affinity=0.1, action=0.1),
    ]
    made = item(rows, DRYNESS, key=0, because=[[]] * 4, words=WORDS)
    for option in made["options"]:
        option["fault"] = would_aggravate.FAULTS.get(option["verdict"])
    return made


def test_a_sound_item_holds_and_each_distractor_is_named_by_its_verdict():
    made = sound()
    assert would_aggravate.recheck(made) == []
    assert [option["fault"] for option in made["options"]] == [None, "suits here", "partly suits", "little bearing"]


def figure(number, **changes):
    """A change of one row's figures."""
    return lambda made: made["certificate"]["rows"][number].update(changes)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda made: made.update(key=1), "the key does not aggravate everywhere"),
        (figure(0, high=[0, 0.5, 0, 0]), "the key does not aggravate everywhere"),
        (figure(0, value=[0, -0.6, 0, 0], low=[0, -0.6, 0, 0], high=[0, -0.6, 0, 0]), "the key does not aggravate"),
        (figure(0, affinity=0.2), "does not act in this place"),
        (figure(0, listed=False), "does not claim the action"),
        (figure(1, low=[0, -1, 0, 0]), "a distractor may aggravate"),
        (figure(1, opposed=True), "a distractor may aggravate"),
        (figure(2, value=[0, 0, 0, 0], low=[0, -0.1, 0, 0]), "a distractor may aggravate"),
        (lambda made: made["options"][1].update(fault="partly suits"), "the fault is not that"),
        (lambda made: made["options"][3].update(marks=["toxic"]), "toxic or restricted"),
        (lambda made: made["options"].reverse(), "of other options"),
        (
            lambda made: (made["presentation"].update(person=["word"]), figure(2, unsafe=["word"])(made)),
            "unsafe for this person",
        ),
    ],
)
def test_a_falsified_item_is_noticed(change, told):
    made = sound()
    made["presentation"] = dict(made["presentation"])
    change(made)
    assert any(told in sentence for sentence in would_aggravate.recheck(made))


def test_harm_by_qualities_and_by_an_opposed_action_at_once_is_no_key():
    rows = catalogue([[0, -2, 0, 0], [0, 2, 0, 0], [0, -2, 0, 0], [0, 2, 0, 0]], opposed=[False, True, True, False])
    proof = prove(rows, presentation(Pattern((0.0, -2.0, 0.0, 0.0))))
    assert would_aggravate.one_reason(proof).tolist() == [True, True, False, False]


def test_the_name_of_the_action_is_taken_for_a_reason_of_harm():
    made = sound()
    said = [would_aggravate.say(made, f"name:{number}", 0) for number in range(len(would_aggravate.NAME_FOR_HARM))]
    assert "The case does not call for a demulcent, so giving one does harm." in said
    assert would_aggravate.say(made, "lead", 0) == "It dries plainly, and moisture leads here."
