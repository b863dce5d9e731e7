"""new-finding: no key, what the finding changes, and what the check of an item notices."""

import pytest

from herbs.engine import Pattern
from lessons.engine import responses
from lessons.engine.families import new_finding
from lessons.engine.responses import LEANS
from tests.engine.build import presentation

from .presented_items import certified, presented

DRYNESS = Pattern((0.0, -2.0, 0.0, 0.0))


def sound():
    """Dryness and an herb that moistens and cools; then a finding of heat."""
    asked = presented(0, -2, 0, 0)
    asked["findings"] = [
        {"slug": "dry-lips", "evidence": {"moisture": -1}},
        {"slug": "thirst", "evidence": {"moisture": -1}},
    ]
    return {
        "presentation": asked,
        "key": None,
        "words": {"name": "demulcent", "action": "a demulcent", "class": "demulcents", "place": "throat"},
        "options": [{"slug": slug, "label": label, "fault": None} for slug, label in new_finding.LEANS],
        "subject": {"part": "mallow", "finding": {"slug": "flushed", "axis": "temperature", "evidence": 2}},
        "certificate": {
            "rows": [certified("mallow", -2, 2, 0, 0)],
            "before": [0, -2, 0, 0],
            "after": [2, -2, 0, 0],
            "lean": 1,
            "contested": True,
        },
        "because": [[{"code": "bears:0", "status": "decisive"}, {"code": "turned:0", "status": "false"}]],
    }


def test_a_sound_item_holds_and_has_no_key():
    assert new_finding.recheck(sound()) == []
    assert {responses.mark(sound(), number) for number in range(len(LEANS))} == {0}
    assert len(new_finding.LEANS) == len(LEANS)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda made: made.update(key=3), "There is a key"),
        (lambda made: made["subject"].update(part="sage"), "not of an herb"),
        (lambda made: made["certificate"]["rows"][0].update(listed=False), "not of an herb"),
        (lambda made: made["certificate"]["rows"][0].update(value=[0, 2, 0, 0]), "does nothing on the axis"),
        (lambda made: made["certificate"].update(before=[0, -1, 0, 0]), "before is not the one presented"),
        (lambda made: made["certificate"].update(after=[1, -2, 0, 0]), "does not follow from the finding"),
        (lambda made: made["certificate"].update(lean=-1), "does not lean that way"),
        (lambda made: made["subject"]["finding"].update(slug="thirst"), "is not new"),
        (
            lambda made: (
                made["subject"]["finding"].update(axis="moisture", evidence=1),
                made["certificate"].update(after=[0, -1, 0, 0]),
            ),
            "contradicts the state",
        ),
        (lambda made: made["options"].reverse(), "five leans in order"),
        (lambda made: made["because"][0][0].update(code="bears:1"), "decisive reason is not of the axis"),
        (
            lambda made: (
                made["presentation"].update(person=["word"]),
                made["certificate"]["rows"][0].update(unsafe=["word"]),
            ),
            "unsafe for this person",
        ),
    ],
)
def test_a_falsified_item_is_noticed(change, told):
    made = sound()
    change(made)
    assert any(told in sentence for sentence in new_finding.recheck(made))


@pytest.mark.parametrize(
    ("effects", "axis", "evidence", "leans"),
    [
        ((-2, 2, 0, 0), 0, 2, 1),  # it cools, and there is heat: more
        ((2, 2, 0, 0), 0, 2, -2),  # it warms, and there is heat: it now aggravates
        (
            (0, 2, 0, 1),
            3,
            1,
            -2,
        ),  # it stirs, and there is restlessness of less degree than the dryness: still a push too many
        ((0, 1, 0, 0), 1, -2, -1),  # it moistens slightly, and it is drier than thought: less
        ((0, 2, 0, 0), 0, 0, 0),  # nothing new
    ],
)
def test_the_arithmetic_leans_with_verdict_and_fit(effects, axis, evidence, leans):
    after = new_finding.changed(DRYNESS, axis, evidence)
    assert new_finding.lean(certified("herb", *effects), presentation(DRYNESS), after) == leans


def test_reasons_say_which_quality_the_finding_bears_on():
    made = sound()
    assert new_finding.say(made, "bears:0", 0) == "It cools plainly, and the new finding bears on temperature."
    assert new_finding.say(made, "turned:0", 0) == "It warms plainly, and the new finding bears on temperature."
    assert new_finding.say(made, "reach", 0) == "It is a demulcent whose reach takes in the throat."
