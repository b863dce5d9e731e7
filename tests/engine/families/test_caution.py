"""caution: what its proof notices, who may be told apart, and what four people share."""

from random import Random

import pytest

from herbs.engine import Pattern
from lessons.engine.alike import BEARING_UNTIL, DECADES, NEVER_ASKED, TO_AGE, askable, draw_four, kin, write_four
from lessons.engine.families import caution
from lessons.engine.findings import Shown
from lessons.engine.scenery import Asking, PersonWord, Scenery

from .presented_items import certified, presented

WORDS = ("ulcer", "asthma", "driving")
FINDINGS = [
    Shown("dry", "a dry tickle", {"moisture": -1}, False, "told"),
    Shown("first", "dryness before heat", {}, True, "told"),
    Shown("pulse", "a thin pulse", {"moisture": -1}, False, "pulse"),
]


def sound():
    """Dryness: an herb barred by an ulcer, one that takes its place, one barred too, and one that dries."""
    rows = [
        certified("asked", 0, 2, 0, 0, unsafe=["ulcer"]),
        certified("instead", 0, 2, 0, 0),
        certified("barred-too", 0, 2, 0, 0, unsafe=["ulcer"]),
        certified("dries", 0, -2, 0, 0),
    ]
    stays = [
        {"code": "keep", "status": "decisive"},
        *({"code": f"swap:{number}", "status": "misconception"} for number in (1, 2, 3)),
    ]
    gives_way = [
        {"code": "keep", "status": "false"},
        {"code": "swap:1", "status": "decisive"},
        {"code": "swap:2", "status": "false"},
        {"code": "swap:3", "status": "misconception"},
    ]
    slugs = [*WORDS, caution.NOBODY]
    return {
        "presentation": presented(0, -2, 0, 0),
        "options": [{"slug": s, "label": s, "fault": caution.NO_CAUTION if n else None} for n, s in enumerate(slugs)],
        "key": 0,
        "because": [gives_way] + [[dict(reason) for reason in stays] for _ in range(3)],
        "words": {"name": "demulcent", "labels": ["mallow root", "elm bark", "flax seed", "sage leaf"]},
        "subject": {"part": "asked"},
        "certificate": {"rows": rows, "cautioned": [["ulcer"], [], ["ulcer"], []]},
    }


def test_a_sound_item_holds():
    assert caution.recheck(sound()) == []


def row(number, **changes):
    """A change of one row's figures."""
    return lambda made: made["certificate"]["rows"][number].update(changes)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda made: made.update(key=1), "no harm is known for this person"),
        (lambda made: made.update(subject={"part": "instead"}), "of another herb"),
        (row(0, low=[0, 0.2, 0, 0]), "is not sure to suit what the four share"),
        (row(0, opposed=True), "is not sure to suit what the four share"),
        (row(0, unsafe=[]), "no harm is known"),
        (row(0, unsafe=["ulcer", "asthma"]), "harm is known"),
        (lambda made: made["certificate"]["cautioned"][0].append("driving"), "a caution here, if a milder one"),
        (lambda made: made["certificate"]["cautioned"][2].clear(), "missing from the list"),
        (lambda made: made["certificate"]["cautioned"][1].append("ulcer"), "instead: may not take its place"),
        (row(1, value=[0, -2, 0, 0], low=[0, -2, 0, 0], high=[0, -2, 0, 0]), "instead: may not take its place"),
        (row(3, value=[0, 2, 0, 0], low=[0, 2, 0, 0], high=[0, 2, 0, 0]), "dries: may take its place"),
        (lambda made: made["options"][1].update(slug="ulcer"), "the same word"),
        (lambda made: made["options"][1].update(fault=None), "the fault does not go with the key"),
        (lambda made: made["because"][0][0].update(status="decisive"), "name nothing that takes the herb's place"),
        (lambda made: made["because"][2][0].update(status="false"), "do not let the herb stay"),
    ],
)
def test_a_falsified_item_is_noticed(change, told):
    made = sound()
    change(made)
    assert any(told in sentence for sentence in caution.recheck(made))


def test_the_same_sentences_are_offered_whoever_is_chosen():
    made = sound()
    said = [{caution.say(made, reason["code"], number) for reason in made["because"][number]} for number in range(4)]
    assert said[0] == said[1] == said[3]
    assert "Sage leaf should take its place: it dries plainly, and meets no caution." in said[0]
    assert caution.say(made, "lead", 0) == "It moistens plainly, and moisture leads here for all four."


def person_word(slug, group="condition", **changes):
    plain = {"only_for": frozenset(), "not_with": None, "treated": False, "from_age": 0}
    return PersonWord(slug, slug, group, f"has {slug}", f"has no {slug}", **(plain | changes))


def asking(**changes):
    plain = {"only": None, "bars": frozenset(), "not_offered": (), "left_out": frozenset(), "own_only": False}
    return Asking("cough", "demulcent", "chest", "in the chest", ("chest",), ("a cough",), **(plain | changes))


def test_nobody_is_told_apart_by_what_the_state_or_the_complaint_could_come_of():
    words = [
        person_word("ulcer"),
        person_word("barred"),
        person_word("held", "life"),
        person_word("pregnancy", "life"),
        person_word("infant", "age"),
        person_word("other-class", only_for=frozenset({"bitter"})),
        person_word("swells", not_with=(1, 1)),
        person_word("transplant"),
    ]
    scenery = Scenery((), (), (), {word.slug: word for word in words}, {}, {}, [])
    asked = asking(bars=frozenset({"barred"}), holds=frozenset({"held"}))
    assert "transplant" in NEVER_ASKED
    assert askable(scenery, asked, Pattern((0.0, 2.0, 0.0, 0.0))) == ["ulcer"]
    assert askable(scenery, asked, Pattern((0.0, -2.0, 0.0, 0.0))) == ["ulcer", "swells"]


def test_words_that_may_hold_of_one_person_unsaid_are_kin():
    assert kin("diabetes") >= {"diabetes", "diabetes-medicines"}
    assert kin("mint-family-allergy") == {"mint-family-allergy"}


def test_four_people_are_of_an_age_at_which_each_word_can_be_said():
    chosen = [person_word("driving", "situation"), person_word("glaucoma", from_age=40)]
    drawn = [draw_four(Random(seed), asking(), chosen, "ordinary") for seed in range(60)]
    assert {four.decade for four in drawn} == {40, 50}
    assert TO_AGE["driving"] == 50
    late = [person_word("levodopa", "medicine", from_age=55), person_word("hormonal-contraception", "medicine")]
    assert draw_four(Random(1), asking(), late, "ordinary") is None
    assert {draw_four(Random(s), asking(only="woman"), [], "ordinary").noun for s in range(9)} == {"women"}


def test_pregnancy_is_denied_exactly_where_it_could_be():
    seen = set()
    for seed in range(200):
        four = draw_four(Random(seed), asking(), [], "ordinary")
        text = write_four("a cough", four, FINDINGS, Random(seed)).text
        may_bear = four.noun != "men" and four.decade < BEARING_UNTIL
        assert ("pregnant" in text) == may_bear
        assert f"four {four.noun} {DECADES[four.decade]}" in text.lower()
        assert "a dry tickle" in text
        assert text.index("a dry tickle") < text.index("dryness before heat")
        seen.add(may_bear)
    assert seen == {True, False}


def test_who_nurses_or_is_spent_is_told_so():
    nursing = draw_four(Random(1), asking(only="woman", holds=frozenset({"breastfeeding"})), [], "spent")
    text = write_four("scanty milk", nursing, FINDINGS, Random(1)).text
    assert "All are breastfeeding and not pregnant." in text
    assert "not pregnant or breastfeeding" not in text
    assert "A long illness has left little strength in each." in text
