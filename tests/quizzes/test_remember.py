"""The one thing to remember after an answer: true of the item by its own data, and plainly written."""

import html
import re

import pytest

from herbs.engine import AXES, HERB_POLES
from lessons.engine import FAMILIES, responses
from lessons.engine.because import BARE
from lessons.engine.qualities import inset
from lessons.engine.state_kinds import NOUNS
from quizzes.engine.feedback import chain
from quizzes.engine.phrases import leading, subject_name
from quizzes.engine.remember import LESSONS, remember
from quizzes.explaining import explained
from tests import factories, people
from tests.factories import HTMX, address
from tests.quizzes.told import THINGS, VERBS, answers, everything_kept, labels_of, reasons, texts, without

pytestmark = pytest.mark.django_db
ORDINALS = {"first": 1, "second": 2, "third": 3, "fourth": 4}
CHEERING = re.compile(
    r"\b(well done|great|excellent|congratulations|good job|bravo|perfect|keep it up|oops|sorry)\b|!", re.IGNORECASE
)


@pytest.mark.parametrize("family", FAMILIES)
def test_every_sentence_is_plainly_written(items, family):
    for item in items(family):
        for text in texts(item):
            assert text == text.strip(), text
            assert text[:1].isupper() or text[:1] == "“" or text[:1].isdigit(), text
            assert text.endswith("."), text
            assert (
                "  " not in text and ".." not in text and " ." not in text and " ," not in text and ";." not in text
            ), text
            assert not re.search(
                r"\ba (?:excited|hot infusion [a-z]|[aeio]\w)", without(text, labels_of(item).values())
            ), text
            assert not re.search(r"\ban [bcdfgjklmnpqrstvwxz]", without(text, labels_of(item).values())), text
            assert not re.search(r"\b(\w+) \1\b", text.replace("that that", "")), text
            assert not re.search(r"[{}]|\bNone\b(?! of)|\bTrue\b", text), text
            assert not re.search(r"\b(?:and|or|of|the|which|where|but|to|for(?: it)?)\.$", text), text
            assert not CHEERING.search(re.sub("“[^”]*”", "", text)), text


@pytest.mark.parametrize("family", FAMILIES)
def test_the_one_thing_is_one_sentence_of_bearable_length(items, family):
    for item in items(family):
        for _, _, kept in everything_kept(item):
            bare = re.sub("“[^”]*”|\\d[.]\\d", "", kept)
            assert bare.count(".") == 1, kept
            assert len(kept.split()) <= 60, kept


@pytest.mark.parametrize("family", FAMILIES)
def test_the_one_thing_names_things_of_the_item_and_no_herb_of_another(items, medica, family):
    every = {inset(row.label): slug for slug, row in medica.rows.items()}
    for item in items(family):
        mine = set(labels_of(item).values())
        findings = (item["presentation"] or {}).get("findings", [])
        own = [*mine, *THINGS, *VERBS, *AXES, *(finding["text"] for finding in findings)]
        own += [option["label"] for option in item["options"]] + [
            w for w in item["words"].values() if isinstance(w, str)
        ]
        for _, _, kept in everything_kept(item):
            assert any(re.search(rf"\b{re.escape(word)}", kept, re.IGNORECASE) for word in own), kept
            left = without(kept, mine)
            strange = [label for label in every if re.search(rf"\b{re.escape(label)}\b", left)]
            assert not strange, (strange, kept)


@pytest.mark.parametrize("family", FAMILIES)
def test_what_is_said_of_a_herb_is_true_of_its_row(items, family):
    """Wherever a herb's name is followed by what it does, verb and degree are those of the certificate."""
    said = 0
    for item in items(family):
        rows = {row["part"]: row["value"] for row in item["certificate"]["rows"]}
        for part, label in labels_of(item).items():
            pattern = re.compile(
                rf"{re.escape(label)},? (?:only |which )?({'|'.join(VERBS)})\b(?: (?:only )?in the (\w+) degree)?",
                re.IGNORECASE,
            )
            longer = [other for other in labels_of(item).values() if label.lower() in other.lower() and label != other]
            for text in texts(item):
                for verb, degree in pattern.findall(without(text, longer)):
                    axis, sign = VERBS[verb.lower()]
                    effect = rows[part][AXES.index(axis)]
                    assert effect * sign > 0, (text, rows[part])
                    assert not degree or ORDINALS[degree] == max(1, int(abs(effect) + 0.5)), (text, rows[part])
                    said += 1
    if family not in ("name-the-state", "taste-to-effect", "preparation"):
        assert said


@pytest.mark.parametrize("family", ["best-fit", "would-aggravate", "order-by-fit", "caution"])
def test_what_is_said_of_the_state_is_in_the_pattern(items, family):
    """Heat, damp and the rest are spoken of only where the findings show them."""
    for item in items(family):
        shown = {
            thing
            for thing, (axis, sign) in THINGS.items()
            if item["presentation"]["pattern"][axis]["degree"] * sign > 0
        }
        people_told = [option["label"] for option in item["options"] if family == "caution"]
        for _, _, kept in everything_kept(item):
            words = set(re.findall(r"[a-z]+", without(kept, [*labels_of(item).values(), *people_told]).lower()))
            assert words & set(THINGS) <= shown, kept


@pytest.mark.parametrize("family", FAMILIES)
def test_the_sentence_depends_on_what_was_answered(items, family):
    """A wrong answer, a wrong reason and a right answer rightly reasoned leave different things to remember."""
    for item in items(family):
        right = responses.right_response(item)
        if right is None:
            continue
        given = reasons(item, right)
        decided = next(number for number, reason in enumerate(given) if reason["status"] == "decisive")
        misled = [number for number, reason in enumerate(given) if reason["status"] == "misconception"]
        principle = remember(item, right, decided)
        assert remember(item, right) == principle
        assert all(remember(item, right, number) != principle for number in misled)
        wrong = [choice for choice in answers(item) if responses.mark(item, choice) < responses.FULL]
        exchanged = [option.get("fault") == "root and consequence exchanged" for option in item["options"]]
        told = [choice for choice in wrong if family != "name-the-state" or not exchanged[choice]]
        assert all(remember(item, choice, 0) != principle for choice in told)
        assert all(remember(item, choice, 0) == remember(item, choice, 1) for choice in wrong)


def test_the_principle_of_a_case_begins_with_the_root(items):
    linked = 0
    for item in items("best-fit"):
        key = item["options"][item["key"]]
        kept = remember(item, item["key"])
        root = leading(item)[0]
        command = BARE[HERB_POLES[root][item["presentation"]["pattern"][root]["degree"] > 0]]
        assert re.search(rf"\b{command}\b", kept), kept
        assert inset(key["label"]) in kept
        follower = next((axis for axis in AXES if item["presentation"]["pattern"][axis]["follows"]), None)
        if follower:
            linked += 1
            assert f"{command} first" in kept
            assert kept.startswith(
                f"Where {NOUNS[follower][item['presentation']['pattern'][follower]['degree'] < 0]} followed"
            )
    assert linked


def test_a_fault_taken_is_spoken_of_by_the_herb_that_has_it(items):
    met = set()
    for item in items("best-fit"):
        for choice, option in enumerate(item["options"]):
            if option["fault"]:
                met.add(option["fault"])
                assert inset(option["label"]).lower() in remember(item, choice, 0).lower()
    assert len(met) >= 6


def test_every_family_has_a_lesson():
    assert set(LESSONS) == set(FAMILIES)


def test_the_herb_of_a_stem_is_found(items, medica):
    names = {row.slug: inset(row.label) for row in medica.rows.values()}
    for family in ("what-would-have-to-change", "new-finding"):
        for item in items(family):
            label = names[item["certificate"]["rows"][0]["part"]]
            assert subject_name(item) == label[:1].upper() + label[1:]
        assert subject_name(items(family)[0] | {"stem": "Another wording."}) == "The herb"


@pytest.fixture
def asked_of(db, maker):
    """A question of a family in a drill of Wenna's."""

    def made(family):
        drill = factories.attempt(people.student(), length=1)
        asked = factories.question(drill)
        factories.store(asked, maker.make(family, 2001))
        return factories.question(drill)

    return made


@pytest.mark.parametrize("family", [family for family in FAMILIES if family != "new-finding"])
def test_the_one_thing_stands_on_the_page_after_the_answer_and_never_before(asked_of, family):
    asked = asked_of(family)
    item, client = asked.item.opened, people.client_of(people.student())
    choice = next(c for c in answers(item) if responses.mark(item, c) < responses.FULL)
    kept = remember(item, choice, 0)

    def page():
        return html.unescape(client.get(address(asked), headers=HTMX).content.decode())

    def hidden(text):
        return "The one thing to remember" not in text and "The reasoning" not in text and kept not in text

    assert hidden(page())
    factories.locked(asked, choice)
    assert hidden(page())
    client.post(address(asked, "reason"), {"reason": 0}, headers=HTMX)
    after = page()
    assert "The one thing to remember" in after
    assert kept in after
    for step in chain(item):
        assert step["term"] in after


def test_an_item_of_the_bank_has_nothing_to_remember(items, medica):
    assert explained(items("best-fit")[0])["remember"] == ""


def test_a_push_the_wrong_way_is_named_by_its_axis(items):
    """The herb is said to do what the state does already, on the axis of its fault or at the root."""
    met = 0
    for item in items("best-fit"):
        pattern = item["presentation"]["pattern"]
        for choice, option in enumerate(item["options"]):
            fault = option["fault"] or ""
            if fault == "feeds the root":
                axes = [entry["follows"] for entry in pattern.values() if entry["follows"]]
            elif fault.removeprefix("wrong ") in AXES:
                axes = [fault.removeprefix("wrong ")]
            else:
                continue
            kept = without(remember(item, choice, 0), labels_of(item).values())
            pushes = {axis: HERB_POLES[axis][pattern[axis]["degree"] < 0] for axis in axes}
            (axis, verb) = next(iter(pushes.items()))
            assert re.search(rf"\b(?:{verb}|{BARE[verb]})\b", kept), (fault, kept)
            assert NOUNS[axis][pattern[axis]["degree"] < 0] in kept, (fault, kept)
            met += 1
    assert met > 5
