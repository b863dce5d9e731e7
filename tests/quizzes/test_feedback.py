"""What a page explains after an answer: the chain of an item, what each option would do, how a reading fared, and the sources."""

import re

import pytest

from herbs.engine import AXES, HERB_POLES, STATE_POLES
from lessons.engine import FAMILIES, responses
from lessons.engine.qualities import inset
from quizzes.engine import feedback
from quizzes.engine.feedback import chain, explain_options, reading_words
from quizzes.engine.phrases import needed
from quizzes.explaining import explained
from tests.quizzes.told import THINGS, VERBS, answers

pytestmark = pytest.mark.django_db
CASES = (
    "best-fit",
    "would-aggravate",
    "order-by-fit",
    "name-the-state",
    "what-would-have-to-change",
    "caution",
    "new-finding",
)


@pytest.mark.parametrize("family", CASES)
def test_a_case_is_reasoned_from_its_findings_to_its_need(items, family):
    for item in items(family):
        steps = chain(item)
        terms = [step["term"] for step in steps]
        assert terms[:3] == ["Findings", "Pattern", "Root"]
        by = dict(zip(terms, steps, strict=True))
        assert [row["text"] for row in by["Findings"]["listed"]] == [
            f["text"] for f in item["presentation"]["findings"]
        ]
        for row, finding in zip(by["Findings"]["listed"], item["presentation"]["findings"], strict=True):
            told = [THINGS[word] for word in re.findall(r"[a-z]+", row["says"]) if word in THINGS]
            if finding["evidence"]:
                assert dict(told) == {axis: (1 if e > 0 else -1) for axis, e in finding["evidence"].items()}
            elif not finding["order"]:
                assert row["says"] == "bears on nothing here"
        pattern = item["presentation"]["pattern"]
        for axis in AXES:
            for word, sign in zip(STATE_POLES[axis], (1, -1), strict=True):
                assert bool(re.search(rf"\b{word}\b", by["Pattern"]["text"].lower())) == (
                    pattern[axis]["degree"] * sign > 0
                )
        asked = [quality["pole"] for quality in by["Need"]["qualities"]]
        assert asked == [HERB_POLES[axis][degree > 0] for axis, degree, _ in needed(item)]
        roots = {entry["follows"] for entry in pattern.values() if entry["follows"]}
        if roots:
            (root,) = roots
            assert f"It was {STATE_POLES[root][pattern[root]['degree'] < 0]} first" in by["Root"]["text"]
            assert asked[0] in HERB_POLES[root]
        else:
            assert "first" not in by["Root"]["text"]


@pytest.mark.parametrize(
    "family", ["best-fit", "would-aggravate", "order-by-fit", "what-would-have-to-change", "caution"]
)
def test_a_case_is_reasoned_on_to_the_herb(items, family):
    for item in items(family):
        steps = chain(item)
        quality = next(step for step in steps if step["term"] == "Quality")
        rows = {row["part"]: row["value"] for row in item["certificate"]["rows"]}
        for said in quality["qualities"]:
            if said["pole"]:
                axis, sign = VERBS[said["pole"]]
                assert rows[quality["part"]][AXES.index(axis)] * sign > 0
        if family in ("best-fit", "would-aggravate"):
            assert quality["part"] == steps[-1]["part"] == item["options"][item["key"]]["part"]
        if family == "order-by-fit":
            assert quality["part"] == item["options"][item["key"][0]]["part"]
            shown = [row["text"].partition(", ")[2] for row in steps[-1]["listed"]]
            assert shown == [inset(item["options"][number]["label"]) for number in item["key"]]
        if family == "caution":
            assert (quality["part"], steps[-1]["part"]) == (
                item["subject"]["part"],
                item["certificate"]["rows"][1]["part"],
            )


@pytest.mark.parametrize("family", [family for family in FAMILIES if family not in CASES])
def test_a_question_without_a_case_has_a_chain_of_its_own(items, family):
    terms = {
        "point-of-difference": ["They share", "They part", "The choice"],
        "kinds": ["They share", "Degrees", "Kinds", "Two told apart"],
        "place-on-the-plane": ["Temperature", "Moisture", "Box", "It answers"],
        "taste-to-effect": ["Taste", "Rule", "Expected", "Found", "So"],
    }
    for item in items(family):
        found = [step["term"] for step in chain(item)]
        if family == "preparation":
            assert found[0] in ("Given", "Wanted") and "Rule" in found and len(found) >= 3
        else:
            assert found == terms[family]


@pytest.mark.parametrize("family", FAMILIES)
def test_every_fault_that_is_met_is_known(items, family):
    known = feedback.FAMILY_FAULTS.get(family, ())
    for item in items(family):
        faults = {option["fault"] for option in item["options"] if option.get("fault")}
        if family == "best-fit":
            assert faults <= set(feedback.FAULT_WORDS)
        elif family != "preparation":
            assert faults <= set(known)


def test_a_change_is_told_with_what_the_arithmetic_makes_of_it(items):
    """Only the key's change ends in an herb that suits."""
    for item in items("what-would-have-to-change"):
        told = [option["why"] for option in explain_options(item)]
        assert [("suits" in why.replace("only partly suits", "")) for why in told] == [
            number == item["key"] for number in range(len(told))
        ]


def test_an_order_is_explained_in_the_order_of_the_key(items):
    for item in items("order-by-fit"):
        rows = explain_options(item, 0)
        assert [row["part"] for row in rows] == [item["options"][number]["part"] for number in item["key"]]
        assert [row["why"].partition(":")[0] for row in rows] == ["First", "Second", "Third", "Fourth"]
        fits = {row["part"]: row["parts"]["fit"] for row in rows}
        for row in rows:
            assert f"{fits[row['part']]:.2f}".replace("-", "−") in row["why"]


def test_a_matching_says_what_was_amiss(items):
    for item in items("kinds"):
        right = responses.right_response(item)
        assert all("It is not" not in row["why"] for row in explain_options(item, right))
        for choice in answers(item):
            amiss = [row["why"] for row in explain_options(item, choice) if "It is not" in row["why"]]
            given = responses.ORDERS[choice]
            assert len(amiss) == sum(a != b for a, b in zip(given, item["key"], strict=True))


def test_a_place_is_told_by_its_distance_from_the_box(items):
    for item in items("place-on-the-plane"):
        for choice in range(responses.count(item)):
            (row,) = explain_options(item, choice)
            inside = responses.mark(item, choice) == responses.FULL
            assert row["why"].startswith("It lies within") == inside
            for axis, at, low, high in zip(
                AXES, responses.cell(choice), item["key"]["low"], item["key"]["high"], strict=False
            ):
                up, down = {"temperature": ("warming", "cooling"), "moisture": ("moistening", "drying")}[axis]
                assert (f"towards {up}" in row["why"]) == (at > high)
                assert (f"towards {down}" in row["why"]) == (at < low)


def test_a_caution_says_who_needs_what(items):
    for item in items("caution"):
        herb, instead = item["words"]["labels"][:2]
        for number, row in enumerate(explain_options(item)):
            if number == item["key"]:
                assert instead in row["why"] and herb.lower() in row["why"].lower()
            else:
                assert f"No caution of {herb} turns on this" in row["why"]
        assert explain_options(items("new-finding")[0], 0) == []


def reading_item():
    """An item with a dry state that chills, and findings on both and on none."""
    pattern = {
        "temperature": {"degree": -1, "follows": "moisture"}, "moisture": {"degree": -2, "follows": None},
        "tone": {"degree": 0, "follows": None}, "movement": {"degree": 0, "follows": None},
    }  # fmt: skip
    findings = [
        {"text": "cold hands", "evidence": {"temperature": -1, "movement": -1}, "order": False},
        {"text": "quick speech", "evidence": {"movement": 1}, "order": False},
        {"text": "dry lips", "evidence": {"moisture": -2}, "order": False},
    ]
    return {"presentation": {"pattern": pattern, "findings": findings}}


@pytest.mark.parametrize(
    ("reading", "verdicts"),
    [
        ((-1, -1, 0, 0), ["right", "right", "right", "right"]),
        ((0, -1, 0, 0), ["missed", "right", "right", "right"]),
        ((1, -1, 1, 0), ["contrary", "right", "not in the findings", "right"]),
        ((0, 1, 0, -1), ["missed", "contrary", "right", "not in the findings"]),
    ],
)
def test_a_reading_is_told_axis_by_axis(reading, verdicts):
    rows = reading_words(reading_item(), reading)
    assert [row["axis"] for row in rows] == list(AXES)
    assert [row["verdict"] for row in rows] == verdicts


def test_a_reading_is_told_with_its_findings():
    temperature, moisture, tone, movement = reading_words(reading_item(), (1, -1, -1, 1))
    assert temperature["text"] == "You read hot, but “cold hands” says cold in the first degree."
    assert (temperature["read"], temperature["found"]) == ("hot", "cold")
    assert moisture["text"] == "“dry lips” says dry in the second degree."
    assert tone["text"] == "You read lax, but no finding speaks of tone."
    assert (tone["read"], tone["found"]) == ("lax", "neither tense nor lax")
    assert (
        movement["text"] == "You read excited, but what bears on movement cancels out: “cold hands” and “quick speech”."
    )
    assert movement["findings"] == ["cold hands", "quick speech"]


def test_without_a_reading_or_a_case_nothing_is_told():
    assert reading_words(reading_item(), None) == []
    assert reading_words({"presentation": None}, (0, 0, 0, 0)) == []


def test_readings_of_real_items_agree_with_their_patterns(items):
    for item in items("best-fit"):
        signs = tuple((d > 0) - (d < 0) for d in (item["presentation"]["pattern"][axis]["degree"] for axis in AXES))
        assert {row["verdict"] for row in reading_words(item, signs)} == {"right"}
        for row in reading_words(item, tuple(-sign for sign in signs)):
            assert row["verdict"] == ("contrary" if item["presentation"]["pattern"][row["axis"]]["degree"] else "right")


@pytest.mark.parametrize("family", FAMILIES)
def test_every_family_shows_where_what_it_says_comes_from(items, medica, family):
    for item in items(family)[:4]:
        told = explained(item, answers(item)[0], 0)
        sources = [
            source
            for shown in (told["chain"], told["options"], told["herbs"])
            for row in shown
            for source in row.get("sources", [])
        ]
        assert sources
        assert all(source["citation"] for source in sources)
        assert any(source["says"] for source in sources)
        if family == "caution":
            name = "a caution for "
            assert any(source["says"].startswith(name) for source in sources)
        if family in ("taste-to-effect", "preparation"):
            herb = next(row for row in told["herbs"])
            assert all(source["says"] for source in herb["sources"]), herb
