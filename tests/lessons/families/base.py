"""What every item family promises, in one class that each family's tests inherit."""

import copy
import json
from collections import Counter
from collections.abc import Iterator
from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command

from lessons.bank import QuestionMaker, maker_of
from lessons.engine import (
    LARGEST,
    Constraints,
    NoValidItemError,
    audit,
    family_of,
    frozen,
    opened,
    recheck,
    responses,
)
from lessons.engine.because import STATUSES
from lessons.engine.difficulty import WEIGHTS
from quizzes.engine import chance_level, grade
from quizzes.presenting import open_item
from quizzes.widgets import read_answer, widget

SEEDS = range(1, 26)
FEW = 6
MADE: dict[str, list[dict[str, Any]]] = {}
HARMFUL = {"toxic", "restricted"}
# What only a key, a fault or a verdict could say. Faults that name a quality are words of many labels.
TELLING = ("decisive", "misconception", "unsafe", "correct", "right answer", "aggravates", "distractor")
CLASS_OF_FEW_CASES = "diuretic"


class FamilyContract:
    """Set ``name``; ``has_class`` where items are about one action class, ``has_case`` where they tell of a person.

    ``about_qualities``: nobody is given anything, so that a harmful plant may be the answer, with its mark beside it.
    """

    name = ""
    has_class = has_case = True
    about_qualities = False

    @pytest.fixture
    def items(self, maker: QuestionMaker) -> list[dict[str, Any]]:
        """One item for each seed, made once for all tests of the family."""
        if self.name not in MADE:
            MADE[self.name] = [maker.make(self.name, seed) for seed in SEEDS]
        return MADE[self.name]

    def test_the_same_seed_gives_the_same_item(self, maker: QuestionMaker, items: list[dict[str, Any]]) -> None:
        assert [maker.make(self.name, seed) for seed in (1, 2, 3)] == items[:3]
        assert len({json.dumps(frozen(item)) for item in items}) == len(items)

    def test_what_was_made_before_changes_no_item(self, maker: QuestionMaker, items: list[dict[str, Any]]) -> None:
        fresh = maker_of(maker.materia_medica)
        assert [fresh.make(self.name, seed) for seed in reversed(SEEDS[:FEW])] == list(reversed(items[:FEW]))

    def test_items_are_frozen_small_and_opened_as_they_were(self, items: list[dict[str, Any]]) -> None:
        for item in items:
            text = json.dumps(frozen(item), ensure_ascii=False, separators=(",", ":"))
            assert len(text.encode()) <= LARGEST
            assert opened(json.loads(text)) == item

    def test_keys_are_proved_and_the_writing_breaks_no_guideline(self, items: list[dict[str, Any]]) -> None:
        for item in items:
            assert (recheck(item), audit(item)) == ([], [])

    def test_no_other_key_is_proved(self, items: list[dict[str, Any]]) -> None:
        for item in items:
            others = list(with_other_keys(item))
            assert others
            assert all(recheck(changed) for changed in others), item["seed"]

    def test_reasons_have_one_that_decides_and_none_twice(self, items: list[dict[str, Any]]) -> None:
        for item in items:
            assert len(item["because"]) in (1, len(item["options"]))
            for reasons in item["because"]:
                statuses = Counter(reason["status"] for reason in reasons)
                assert statuses["decisive"] == 1
                assert set(statuses) <= set(STATUSES)
                assert 3 <= len(reasons) == len({reason["text"] for reason in reasons}) <= 5

    def test_every_answer_is_marked_and_the_right_one_in_full(self, items: list[dict[str, Any]]) -> None:
        for item in items:
            marks = [responses.mark(item, number) for number in range(responses.count(item))]
            assert all(0 <= mark <= responses.FULL for mark in marks)
            right = responses.right_response(item)
            if family_of(self.name).PANEL:
                assert (right, set(marks)) == (None, {0})
                continue
            assert right is not None
            assert marks[right] == responses.FULL
            assert min(marks) < responses.FULL
            decisive = [r["status"] for r in item["because"][right if len(item["because"]) > 1 else 0]].index(
                "decisive"
            )
            assert grade(item, right, decisive).outcome == "both-right"
            assert 0 < chance_level(item) < 900

    def test_what_is_open_before_the_answer_tells_nothing(self, items: list[dict[str, Any]]) -> None:
        for item in items:
            shown = open_item(item)
            assert set(shown) == {"vignette", "findings", "stem", "options"}
            assert all(set(option) <= {"label", "latin", "part_name", "marks"} for option in shown["options"])
            words = json.dumps([shown["options"], item.get("kinds", [])]).lower()
            assert not [word for word in TELLING if word in words]
            faults = {option["fault"] for option in item["options"] if option.get("fault")}
            assert not [fault for fault in faults if fault in words]

    def test_the_page_reads_every_answer(self, items: list[dict[str, Any]]) -> None:
        item = items[0]
        assert widget(item)["template"].endswith(f"_{item['response']}.html")
        for number in range(responses.count(item)):
            assert read_answer(item, posted(item, number)) == number

    def test_features_and_prior_are_there(self, items: list[dict[str, Any]]) -> None:
        for item in items:
            features, prior = item["difficulty"]["features"], item["difficulty"]["prior"]
            assert set(features) <= set(WEIGHTS)  # one that is 0 is left out
            assert all(features.values())
            assert isinstance(prior, int)
            assert abs(prior) <= 4000
        assert any(item["difficulty"]["features"] for item in items)
        assert all(item["difficulty"]["model"].startswith(f"{self.name}|") for item in items)
        assert len({item["difficulty"]["prior"] for item in items}) > 1

    def test_no_harmful_plant_is_the_answer(self, maker: QuestionMaker, items: list[dict[str, Any]]) -> None:
        rows = maker.materia_medica.rows
        for item in items:
            herbs = [option for option in item["options"] if "part" in option]
            assert [option["marks"] for option in herbs] == [list(rows[option["part"]].marks) for option in herbs]
            if self.about_qualities:
                continue
            barred = {"restricted"} if self.name == "best-fit" else HARMFUL
            assert not [part for part in answers(item) if barred & set(rows[part].marks)], item["seed"]

    def test_a_class_and_a_scope_are_kept_to(self, maker: QuestionMaker, items: list[dict[str, Any]]) -> None:
        action = "expectorant"
        scope = frozenset(
            row.part_slug
            for row, plain in zip(maker.workshop.catalogue.rows, maker.workshop.plainly(action), strict=True)
            if plain
        )
        for seed in (1, 2):
            item = maker.make(self.name, seed, Constraints(action if self.has_class else None, scope=scope))
            parts = {maker.materia_medica.rows[row["part"]].part_slug for row in item["certificate"]["rows"]}
            assert parts <= scope
            if self.has_class and self.has_case:
                assert item["presentation"]["action"] == action

    def test_a_site_and_a_state_are_kept_to(self, maker: QuestionMaker, items: list[dict[str, Any]]) -> None:
        if not self.has_case:
            return
        for first in items[:3]:
            told = first["presentation"]
            for name in ("site", "state"):
                limits = Constraints(**{name: told[name]})
                found = first_made(maker, self.name, limits)
                assert found["presentation"][name] == told[name]
                assert found["recipe"]["constraints"] == {name: told[name]}

    def test_cases_are_counted_where_they_end(self, maker: QuestionMaker) -> None:
        cases = maker.cases(self.name)
        assert bool(cases) is family_of(self.name).FINITE
        assert maker.cases(self.name) is cases or not cases
        assert list(maker_of(maker.materia_medica).cases(self.name)) == list(cases)

    def test_a_finite_family_is_exhausted_and_says_so(self, maker: QuestionMaker) -> None:
        cases = len(maker.cases(self.name, Constraints(CLASS_OF_FEW_CASES)))
        if not family_of(self.name).FINITE:
            assert not cases
            return
        every, said = generated(self.name, cases + 1)
        assert 0 < len(every) <= cases
        assert f"exhausted at {len(every)}" in said
        assert len({json.dumps(line["subject"]) + line["certificate"] for line in every}) == len(every)
        assert generated(self.name, len(every)) == (every, "")
        few = max(1, len(every) - 1)
        assert generated(self.name, few) == (every[:few], "")


def first_made(maker: QuestionMaker, family: str, limits: Constraints) -> dict[str, Any]:
    """The first item within narrow limits; that there is one is known, but not every seed comes upon it."""
    for seed in SEEDS:
        try:
            return maker.make(family, seed, limits)
        except NoValidItemError:
            continue
    pytest.fail(f"No {family} item within {limits}.")


def generated(family: str, count: int) -> tuple[list[dict[str, Any]], str]:
    """Items of a class as the command prints them, their certificates as text; and what it says beside."""
    out, err = StringIO(), StringIO()
    call_command("generate_items", family=family, action=CLASS_OF_FEW_CASES, count=count, stdout=out, stderr=err)
    lines = [json.loads(line) for line in out.getvalue().splitlines()]
    return [line | {"certificate": json.dumps(line["certificate"])} for line in lines], err.getvalue()


def with_other_keys(item: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """The item with each other key, for a choice also with the faults exchanged so that the key is without one."""
    kind, key = item["response"], item["key"]
    if kind == "choose":
        for number in range(len(item["options"])):
            if number == key:
                continue
            yield copy.deepcopy(item) | {"key": number}
            moved = copy.deepcopy(item) | {"key": number}
            options = moved["options"]
            options[key]["fault"], options[number]["fault"] = options[number]["fault"], None
            yield moved
    elif kind in ("rank", "match"):
        for order in responses.ORDERS:
            if list(order) != key:
                yield copy.deepcopy(item) | {"key": list(order)}
    elif kind == "place":
        for end in ("low", "high"):
            for axis in range(2):
                moved = copy.deepcopy(item)
                moved["key"][end][axis] += 1
                yield moved
    else:
        for lean in (-9, 9):
            yield copy.deepcopy(item) | {"certificate": item["certificate"] | {"lean": lean}}
        yield copy.deepcopy(item) | {"key": 0}


def answers(item: dict[str, Any]) -> list[str]:
    """The parts that an item's answer has somebody take: the key, the best of an order, the herb asked about."""
    kind, options = item["response"], item["options"]
    found = [(item.get("subject") or {}).get("part", "")]
    if kind == "choose":
        found.append(options[item["key"]].get("part", ""))
    elif kind == "rank":
        found.append(options[item["key"][0]]["part"])
    return [part for part in found if part]


def posted(item: dict[str, Any], number: int) -> dict[str, str]:
    """What a page would post for an answer."""
    kind = item["response"]
    if kind in ("choose", "lean"):
        return {"choice": str(number)}
    if kind == "place":
        temperature, moisture = responses.cell(number)
        return {"temperature": str(temperature), "moisture": str(moisture)}
    order = responses.ORDERS[number]
    if kind == "match":
        return {f"option-{option}": str(given) for option, given in enumerate(order)}
    return {f"option-{option}": str(order.index(option) + 1) for option in range(len(order))}
