"""Items of every family, judged by a checker that shares no code with the generator; and the checker, by false items."""

import copy
import json
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings

from lessons.bank import question_maker
from lessons.engine import FAMILIES, NoValidItemError
from tests.lessons import falsified as f
from tests.oracle.__main__ import main
from tests.oracle.items import FAMILIES as JUDGES
from tests.oracle.items import Oracle

pytestmark = pytest.mark.django_db  # so that the file, run alone, has a test database
WANTED, MOST_SEEDS = 120, 160
SPOILT = 4
EVEN = range(15, 46)  # of 120 keys at one of four places: 30 are expected, with a standard deviation of 4.7

Item = dict[str, Any]

IN_ANY = (
    (f.undecide, "because"),
    (f.decide_twice, "because"),
    (f.invent_a_status, "because"),
    (f.say_a_reason_twice, "because"),
    (f.change_the_recipe, "recipe"),
    (f.lose_the_recipe, "shape"),
)
IN_CHOICES = (
    (f.move_key, "key"),
    (f.repeat_the_key, "options"),
    (f.drop_an_option, "options"),
    (f.invent_a_fault, "options|fault"),
)
OF_HERBS = (
    (f.cite_an_unknown_source, "sources"),
    (f.alter_a_figure, "certificate"),
    (f.alter_a_verdict, "verdict"),
    (f.alter_a_fit, "fit"),
    (f.unmark, "safety"),
    (f.swap_parts, "certificate"),
    (f.reverse_the_pattern, "pattern"),
    (f.drop_evidence, "evidence"),
)
FALSE: dict[str, tuple[tuple[f.Spoil, str], ...]] = {
    "best-fit": (*IN_CHOICES, *OF_HERBS, (f.exchange_faults, "fault"), (f.forget_the_order, "order")),
    "would-aggravate": (
        *IN_CHOICES, *OF_HERBS, (f.exchange_faults, "fault"), (f.make_somebody_unsafe, "safety"),
        (f.forget_the_order, "order"),
    ),
    "point-of-difference": (
        (f.cite_an_unknown_source, "sources"),
        *IN_CHOICES, (f.alter_a_figure, "certificate"), (f.exchange_faults, "fault"), (f.reverse_a_label, "options"),
        (f.exchange_the_pair, "key"), (f.ask_of_another_class, "list"),
    ),
    "kinds": (
        (f.cite_an_unknown_source, "sources"),
        (f.swap_neighbours, "key"), (f.repeat_in_the_key, "key"), (f.widen_a_kind, "options"),
        (f.repeat_a_kind, "options"), (f.alter_a_figure, "certificate"), (f.swap_parts, "certificate"),
        (f.ask_of_another_class, "list"),
    ),
    "order-by-fit": (
        (f.swap_neighbours, "key"), (f.repeat_in_the_key, "key"), *OF_HERBS, (f.make_somebody_unsafe, "safety"),
        (f.forget_the_order, "order"),
    ),
    "place-on-the-plane": (
        (f.cite_an_unknown_source, "sources"),
        (f.move_the_box, "key"), (f.widen_the_box, "key"), (f.turn_the_box, "key"),
        (f.alter_a_figure, "certificate"), (f.ask_of_another_part, "certificate"),
    ),
    "name-the-state": (
        *IN_CHOICES, (f.exchange_faults, "fault"), (f.forget_the_order, "order"), (f.drop_evidence, "evidence"),
        (f.reverse_the_pattern, "pattern"), (f.relabel_the_key, "options"), (f.offer_the_state_again, "second key"),
    ),
    "what-would-have-to-change": (
        *IN_CHOICES, (f.exchange_faults, "fault"), (f.change_a_degree, "options|key"),
        (f.change_another_axis, "change|options|key"),
        (f.tell_a_change_twice, "options"), (f.tie_the_axis, "options"), (f.alter_a_figure, "certificate"),
        (f.ask_of_another_part, "certificate"), (f.drop_evidence, "evidence"), (f.cite_an_unknown_source, "sources"),
    ),
    "taste-to-effect": (
        (f.cite_an_unknown_source, "sources"),
        *IN_CHOICES, (f.exchange_faults, "fault"), (f.reverse_a_label, "options"), (f.flip_the_exception, "key"),
        (f.alter_the_rule, "certificate"), (f.alter_the_claim, "certificate"), (f.add_a_taste, "certificate"),
        (f.change_the_tradition, "certificate"), (f.alter_a_figure, "certificate"),
    ),
    "caution": (
        (f.cite_an_unknown_source, "sources"),
        *IN_CHOICES, (f.exchange_people, "key"), (f.give_nobody_in_particular, "key"), (f.exchange_reasons, "because"),
        (f.alter_a_figure, "certificate"), (f.ask_of_another_part, "certificate"), (f.drop_evidence, "evidence"),
        (f.forget_the_order, "order"),
    ),
    "preparation": (
        (f.cite_an_unknown_source, "sources"),
        *IN_CHOICES, (f.exchange_faults, "fault"), (f.change_a_number, "key|sum"), (f.ask_of_a_poison, "safety"),
        (f.ask_of_another_constituent, "certificate"), (f.rename_the_method, "key"), (f.ask_of_another_part, "text"),
    ),
    "new-finding": (
        (f.cite_an_unknown_source, "sources"),
        (f.give_a_key, "key"), (f.move_a_second_axis, "key"), (f.turn_the_lean, "key"),
        (f.change_the_pattern_before, "certificate"), (f.tell_another_finding, "text"),
        (f.make_somebody_unsafe, "safety"), (f.alter_a_figure, "certificate"), (f.drop_evidence, "evidence"),
    ),
}  # fmt: skip
CASES = [
    pytest.param(family, spoil, topic, id=f"{family}-{spoil.__name__}")
    for family, own in FALSE.items()
    for spoil, topic in (*IN_ANY, *own)
]


@pytest.fixture(scope="module")
def oracle() -> Oracle:
    """The checker, over the shipped data files."""
    return Oracle(Path(settings.MATERIA_MEDICA_DIR))


@pytest.fixture(scope="module")
def banks(django_db_setup: None, django_db_blocker: Any) -> dict[str, list[Item]]:
    """Family -> items as they are printed; a seed that gives none is passed over, as a drill passes over it."""
    with django_db_blocker.unblock():
        return {family: list(made(family)) for family in FAMILIES}


def made(family: str) -> Iterator[Item]:
    """The first items of a family, round-tripped through JSON."""
    maker, count = question_maker(), 0
    for seed in range(1, MOST_SEEDS + 1):
        try:
            item = maker.make(family, seed)
        except NoValidItemError:
            continue
        yield json.loads(json.dumps(item))
        count += 1
        if count == WANTED:
            return


def topics(objections: list[str]) -> set[str]:
    """What objections are about."""
    return {objection.partition(": ")[0] for objection in objections}


def test_every_family_has_a_judge_and_false_items_and_none_is_left_over() -> None:
    assert set(FAMILIES) == set(JUDGES) == set(FALSE)


@pytest.mark.parametrize("family", FAMILIES)
def test_no_objection_to_any_item(family: str, banks: dict[str, list[Item]], oracle: Oracle) -> None:
    bank = banks[family]
    assert len(bank) == WANTED
    objections = [f"seed {item['seed']}: {text}" for item in bank for text in oracle.objections(item)]
    assert objections == []


@pytest.mark.parametrize("family", [name for name, module in FAMILIES.items() if module.RESPONSE == "choose"])
def test_key_positions_are_even(family: str, banks: dict[str, list[Item]]) -> None:
    places = Counter(item["key"] for item in banks[family])
    assert all(places[place] in EVEN for place in range(4)), sorted(places.items())


@pytest.mark.parametrize(("family", "spoil", "topic"), CASES)
def test_the_checker_objects_to_a_false_item(
    family: str, spoil: f.Spoil, topic: str, banks: dict[str, list[Item]], oracle: Oracle
) -> None:
    tried = 0
    for item in banks[family]:
        spoilt = copy.deepcopy(item)
        try:
            spoil(spoilt)
        except f.Unfit:
            continue
        assert spoilt != item
        new = topics(oracle.objections(spoilt)) - topics(oracle.objections(item))
        wanted = topic.split("|")
        assert any(found.endswith(tuple(wanted)) for found in new), (item["seed"], sorted(new))
        tried += 1
        if tried == SPOILT:
            break
    assert tried, "no item could be spoilt in this way"


def test_the_command_counts_items_and_objections(
    banks: dict[str, list[Item]], oracle: Oracle, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    good = [next(item for item in bank if not oracle.objections(item)) for bank in banks.values()]
    false = copy.deepcopy(good[0])
    f.move_key(false)
    data = ["--data", str(settings.MATERIA_MEDICA_DIR)]
    file = tmp_path / "items.jsonl"
    file.write_text("\n".join(map(json.dumps, good)) + "\n", encoding="utf-8")
    assert main([str(file), *data]) == 0
    assert f"{len(good)} items, 0 objections" in capsys.readouterr().out
    file.write_text(f"{json.dumps(false)}\n", encoding="utf-8")
    assert main([str(file), *data]) == 1
    assert "second key: 1" in capsys.readouterr().out
    file.write_text(f"not an item\n{json.dumps(good[0])}\n", encoding="utf-8")
    assert main([str(file), *data]) == 2
    assert "1 items, 0 objections to 0 of them, 1 not judged" in capsys.readouterr().out
