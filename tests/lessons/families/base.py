"""What every item family promises, in one class that each family's tests inherit."""

import copy
import json
from collections import Counter
from typing import Any

import pytest

from lessons.bank import QuestionMaker
from lessons.engine import LARGEST, Constraints, audit, family_of, frozen, opened, recheck, responses
from lessons.engine.because import STATUSES
from quizzes.engine import CURRENT, chance_level, grade
from quizzes.presenting import open_item
from quizzes.widgets import read_answer, widget

SEEDS = range(1, 21)
MADE: dict[str, list[dict[str, Any]]] = {}
KEY_OF_TOXIC = {"toxic", "restricted"}


class FamilyContract:
    """Set ``name``; ``has_class`` where items are about one action class, ``has_case`` where they tell of a person."""

    name = ""
    has_class = has_case = True

    @pytest.fixture
    def items(self, maker: QuestionMaker) -> list[dict[str, Any]]:
        """One item for each seed, made once for all tests of the family."""
        if self.name not in MADE:
            MADE[self.name] = [maker.make(self.name, seed) for seed in SEEDS]
        return MADE[self.name]

    def test_the_same_seed_gives_the_same_item(self, maker: QuestionMaker, items: list[dict[str, Any]]) -> None:
        assert [maker.make(self.name, seed) for seed in (1, 2, 3)] == items[:3]
        assert len({json.dumps(frozen(item)) for item in items}) == len(items)

    def test_items_are_frozen_small_and_opened_as_they_were(self, items: list[dict[str, Any]]) -> None:
        for item in items:
            text = json.dumps(frozen(item), ensure_ascii=False, separators=(",", ":"))
            assert len(text.encode()) <= LARGEST
            assert opened(json.loads(text)) == item

    def test_keys_are_proved_and_the_writing_breaks_no_guideline(self, items: list[dict[str, Any]]) -> None:
        for item in items:
            assert (recheck(item), audit(item)) == ([], [])

    def test_a_moved_key_is_noticed(self, items: list[dict[str, Any]]) -> None:
        for item in items:
            changed = copy.deepcopy(item)
            if item["response"] == "choose":
                changed["key"] = (item["key"] + 1) % len(item["options"])
            elif item["response"] in ("rank", "match"):
                changed["key"] = [*item["key"][1:], item["key"][0]]
            elif item["response"] == "place":
                changed["key"] = {end: [value + 1 for value in values] for end, values in item["key"].items()}
            else:
                changed["certificate"]["lean"] = 9
            assert recheck(changed), item["seed"]

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
            assert grade(item, right, decisive, CURRENT).outcome == "both-right"
            assert 0 < chance_level(item) < 900

    def test_what_is_open_before_the_answer_tells_nothing(self, items: list[dict[str, Any]]) -> None:
        for item in items:
            shown = open_item(item)
            assert set(shown) == {"vignette", "findings", "stem", "options"}
            assert all(set(option) <= {"label", "latin", "part_name", "marks"} for option in shown["options"])

    def test_the_page_reads_every_answer(self, items: list[dict[str, Any]]) -> None:
        item = items[0]
        assert widget(item)["template"].endswith(f"_{item['response']}.html")
        for number in range(responses.count(item)):
            assert read_answer(item, posted(item, number)) == number

    def test_features_and_prior_are_there(self, items: list[dict[str, Any]]) -> None:
        assert all(abs(item["difficulty"]["prior"]) <= 4000 for item in items)
        assert all(item["difficulty"]["model"].startswith(f"{self.name}|") for item in items)
        assert len({item["difficulty"]["prior"] for item in items}) > 1

    def test_no_harmful_plant_is_the_answer(self, items: list[dict[str, Any]]) -> None:
        for item in items:
            if item["response"] == "choose" and "marks" in item["options"][item["key"]]:
                barred = {"restricted"} if self.name == "best-fit" else KEY_OF_TOXIC
                assert not barred & set(item["options"][item["key"]]["marks"])

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

    def test_cases_are_counted_where_they_end(self, maker: QuestionMaker) -> None:
        cases = maker.cases(self.name)
        assert bool(cases) is family_of(self.name).FINITE
        assert maker.cases(self.name) is cases or not cases


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
