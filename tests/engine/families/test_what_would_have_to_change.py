"""what-would-have-to-change: what its proof notices, and which changes there are."""

from random import Random

import pytest

from herbs.engine import Pattern
from lessons.engine.certificate import presentation_of
from lessons.engine.changes import (
    NOT_FAR,
    WRONG_AXIS,
    WRONG_WAY,
    Change,
    changed,
    fault_of,
    obstacle,
    possible,
    tell_change,
    tellable,
    unlinked,
)
from lessons.engine.families import what_would_have_to_change as family
from lessons.engine.findings import Shown
from lessons.engine.scenery import Asking, Finding, PatternForm, Scenery, sort_findings

from .presented_items import certified, presented

WORDS = {"name": "demulcent", "action": "a demulcent", "class": "demulcents", "place": "throat"}
DRY = Pattern((0.0, -2.0, 0.0, 0.0))


def option(axis, degree, fault):
    """An option that changes an axis to a degree."""
    return {"slug": f"{axis}{degree:+d}", "label": f"{axis}{degree}", "axis": axis, "degree": degree, "fault": fault}


def sound():
    """Dryness, and an herb that dries: it would be right for damp, not for cold, for laxity or for more dryness."""
    asked = presented(0, -2, 0, 0)
    asked["findings"] = [
        {"slug": slug, "text": slug, "evidence": {"moisture": -1}, "order": False, "kind": "told"}
        for slug in ("a", "b")
    ]
    gone = ["a", "b"]
    return {
        "presentation": asked,
        "options": [
            option("moisture", 2, None),
            option("moisture", -3, WRONG_WAY),
            option("temperature", -2, WRONG_AXIS),
            option("tone", -2, WRONG_AXIS),
        ],
        "key": 0,
        "because": [[]] * 4,
        "words": WORDS,
        "subject": {"part": "dries"},
        "certificate": {
            "rows": [certified("dries", 0, -2, 0, 0)],
            "told": [
                [gone, [["c", 1], ["d", 1]]],
                [gone, [["e", -2], ["f", -1]]],
                [[], [["g", -1], ["h", -1]]],
                [[], [["i", -1], ["j", -1]]],
            ],
        },
    }


def test_a_sound_item_holds():
    assert family.recheck(sound()) == []


def row(**changes):
    """A change of the herb's figures."""
    return lambda made: made["certificate"]["rows"][0].update(changes)


def told(number, part, value):
    """A change of what is told for an option: what goes (0) or what comes (1)."""
    return lambda made: made["certificate"]["told"][number].__setitem__(part, value)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda made: made.update(key=1), "moisture-3: the herb is not sure to suit after this change"),
        (lambda made: made.update(key=1), "moisture+2: the herb may suit after this change too"),
        (lambda made: made.update(subject={"part": "moistens"}), "of another herb"),
        (row(low=[0, -2, 0, 0], high=[0, 0, 0, 0]), "not sure to suit after this change"),
        (row(value=[0, 2, 0, 0], low=[0, 2, 0, 0], high=[0, 2, 0, 0]), "may suit as things stand"),
        (row(affinity=0.2), "not sure to suit after this change"),
        (row(listed=False), "does not claim the action"),
        (row(opposed=True), "or opposes it"),
        (lambda made: made["options"][2].update(fault=NOT_FAR), "the fault does not describe"),
        (lambda made: made["options"][1].update(fault=WRONG_AXIS), "the fault does not describe"),
        (lambda made: made["options"][2].update(degree=-3), "no change on an axis that stands alone"),
        (lambda made: made["options"][1].update(slug="moisture-2", degree=-2), "no change on an axis"),
        (lambda made: made["presentation"]["pattern"]["moisture"].update(follows="tone", degree=-2)
         or made["presentation"]["pattern"]["tone"].update(degree=1), "no change on an axis that stands alone"),
        (lambda made: made["options"].__setitem__(3, dict(made["options"][2])), "are the same change"),
        (told(0, 0, ["a"]), "what goes is not what tells of the axis"),
        (told(2, 0, ["a"]), "what goes is not what tells of the axis"),
        (told(0, 1, [["c", 1]]), "what comes does not show the degree"),
        (told(3, 1, [["i", -1], ["j", -2]]), "what comes does not show the degree"),
        (lambda made: made["presentation"]["findings"][0]["evidence"].update(tone=-1), "what goes is not"),
    ],
)  # fmt: skip
def test_a_falsified_item_is_noticed(change, said):
    made = sound()
    change(made)
    assert any(said in sentence for sentence in family.recheck(made))


def test_what_is_wrong_with_a_change_is_seen_from_the_right_one():
    hot = Pattern((3.0, 0.0, 0.0, 1.0))
    key = Change(0, -2)
    assert fault_of(hot, key, Change(3, 0)) == WRONG_AXIS
    assert fault_of(hot, key, Change(0, 0)) == NOT_FAR
    assert fault_of(hot, key, Change(0, 4)) == WRONG_WAY
    assert fault_of(hot, key, Change(0, -3)) is None


def test_only_an_axis_that_neither_follows_nor_is_followed_is_free():
    assert unlinked(Pattern((-1.0, 2.0, 0.0, -2.0), (1, None, None, None))) == [2, 3]
    assert unlinked(DRY) == [0, 1, 2, 3]
    linked = changed(Pattern((-1.0, 2.0, 0.0, -2.0), (1, None, None, None)), 3, 0)
    assert (linked.degrees, linked.follows) == ((-1.0, 2.0, 0.0, 0.0), (1, None, None, None))


def test_an_obstacle_is_a_leading_quality_unmet_before_a_lesser_one_worked_against():
    dries, nothing = certified("dries", 1, -2, 0, 0), certified("moistens", 0, 2, 0, 0)
    asked = presentation_of({"presentation": presented(1, -2, 0, 0)})
    assert obstacle(dries, asked) == 1
    assert obstacle(nothing, presentation_of({"presentation": presented(0, -2, 0, 0)})) is None
    assert obstacle(certified("warms", 1, 2, 0, 0), asked) == 0


def finding(slug, text, kind="told", ambiguous=False, **evidence):
    return Finding(slug, "chest", kind, (text,), (0.0, float(evidence.get("moisture", 0)), 0.0, 0.0), ambiguous, False)


ASKING = Asking(
    "cough", "demulcent", "chest", "in the chest", ("chest",), ("a cough",), None, frozenset(), (), frozenset({"cold"}), False
)  # fmt: skip
FOUND = [
    finding("wet-rattle", "a rattle", moisture=1),
    finding("wet-phlegm", "phlegm in plenty", moisture=1),
    finding("wet-tongue", "a glossy tongue", "tongue", moisture=2),
    finding("dry-tickle", "a tickle", moisture=-1),
    finding("dry-lips", "chapped lips", moisture=-1),
]


def scenery():
    """Findings on moisture alone; damp and cold are known states, cold makes no sense with the complaint."""
    patterns = (
        PatternForm("damp", "damp", 2, Pattern((0.0, 2.0, 0.0, 0.0))),
        PatternForm("dry", "dry", 2, DRY),
        PatternForm("cold", "cold", 2, Pattern((-2.0, 0.0, 0.0, 0.0))),
    )
    single = {ASKING.slug: sort_findings(FOUND, ASKING)}
    return Scenery((ASKING,), patterns, (), {}, single, {ASKING.slug: []}, [])


def test_a_change_is_possible_where_the_vocabulary_tells_it_and_the_complaint_admits_it():
    assert tellable(scenery(), ASKING, 1, 2)
    assert tellable(scenery(), ASKING, 1, 3)
    assert not tellable(scenery(), ASKING, 1, -3)
    assert not tellable(scenery(), ASKING, 0, -2)
    assert list(possible(scenery(), ASKING, DRY)) == [Change(1, 2), Change(1, 3)]
    assert list(possible(scenery(), ASKING, Pattern((0.0, 2.0, 0.0, 2.0)))) == [
        Change(1, -2), Change(1, 0), Change(1, 3), Change(3, 0),
    ]  # fmt: skip


def shown(number):
    """A finding as it is told."""
    one = FOUND[number]
    return Shown(one.slug, one.texts[0], {"moisture": int(one.evidence[1])}, False, one.kind)


def test_a_change_is_told_by_findings_that_show_its_degree_exactly():
    told = tell_change(scenery(), ASKING, DRY, Change(1, 2), [shown(3), shown(4)], Random(1))
    assert [f.slug for f in told.gone] == ["dry-tickle", "dry-lips"]
    assert {f.slug for f in told.come} == {"wet-rattle", "wet-phlegm"}
    assert told.label.endswith(" in place of a tickle and chapped lips")
    restless = Shown("restless", "restless nights", {"movement": 2}, False, "told")
    both = Pattern((0.0, -2.0, 0.0, 2.0))
    without = tell_change(scenery(), ASKING, both, Change(1, 0), [shown(3), shown(4), restless], Random(1))
    assert (without.label, list(without.come)) == ("the same picture without a tickle and chapped lips", [])
    added = tell_change(scenery(), ASKING, Pattern((0.0, 0.0, 0.0, 2.0)), Change(1, 2), [restless], Random(1))
    assert added.label.startswith("besides all that, ")


def test_a_finding_that_speaks_for_two_qualities_cannot_give_way_for_one():
    both = Shown("both", "a hot, dry throat", {"temperature": 1, "moisture": -1}, False, "told")
    assert tell_change(scenery(), ASKING, DRY, Change(1, 2), [shown(3), both], Random(1)) is None


def test_other_words_for_the_same_degree_are_no_change():
    slightly = Pattern((0.0, 1.0, 0.0, 0.0))
    assert tell_change(scenery(), ASKING, slightly, Change(1, 2), [shown(0), shown(1)], Random(1)) is None
    assert tell_change(scenery(), ASKING, slightly, Change(1, -2), [shown(0), shown(1)], Random(1)) is not None


def test_less_of_something_is_not_taken_away():
    less = Shown("less", "less spittle", {"moisture": -1}, False, "told")
    pattern = Pattern((0.0, -2.0, 0.0, 2.0))
    assert tell_change(scenery(), ASKING, pattern, Change(1, 0), [shown(3), less], Random(1)) is None


def test_reasons_tell_the_state_as_it_would_be():
    made = sound()
    assert family.say(made, "at:1", 0) == "It dries plainly, and the state would then be plainly damp."
    assert family.say(made, "at:1", 2) == "It dries plainly, and the state would still be plainly dry."
    assert family.say(made, "turned:1", 1) == "It moistens plainly, and the state would then be strongly dry."
    assert (
        family.say(made, "made+:3", 0) == "It stirs plainly, and the state would still be neither excited nor torpid."
    )
