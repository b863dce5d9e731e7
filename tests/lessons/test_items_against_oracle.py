"""Generated items and the profiles under them, judged by a checker that shares no code with the generator."""

import copy
import json
from collections import Counter
from collections.abc import Callable, Iterator
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.management import call_command

from lessons.bank import question_maker
from tests.oracle.claims import AXES, Row
from tests.oracle.items import FAULTS, TOLERANCE, Oracle

pytestmark = pytest.mark.django_db  # so that the file, run alone, has a test database
SEEDS = range(1, 1001)

Item = dict[str, Any]


@pytest.fixture(scope="module")
def oracle() -> Oracle:
    """The checker, over the shipped data files."""
    return Oracle(Path(settings.MATERIA_MEDICA_DIR))


@pytest.fixture(scope="module")
def bank(django_db_setup: None, django_db_blocker: Any) -> list[Item]:
    """One item for each seed, as it is printed."""
    with django_db_blocker.unblock():
        maker = question_maker()
        return [json.loads(json.dumps(maker.make("best-fit", seed))) for seed in SEEDS]


@pytest.fixture(scope="module")
def exported(django_db_setup: None, django_db_blocker: Any) -> dict[str, Item]:
    """The exported profiles by slug."""
    printed = StringIO()
    with django_db_blocker.unblock():
        call_command("export_profiles", format="json", stdout=printed)
    return {row["slug"]: row for row in json.loads(printed.getvalue())["parts"]}


@pytest.fixture(scope="module")
def objections(bank: list[Item], oracle: Oracle) -> dict[str, list[str]]:
    """Topic -> every objection to any item of the bank, with its seed."""
    found: dict[str, list[str]] = {}
    for item in bank:
        for objection in oracle.objections(item):
            topic, _, text = objection.partition(": ")
            found.setdefault(topic, []).append(f"seed {item['seed']}: {text}")
    return found


TOPICS = (
    "options", "certificate", "key", "second key", "margin", "list", "verdict", "fit", "effect", "fault",
    "pattern", "findings", "evidence", "order", "person", "text", "because", "recipe", "safety", "sources",
)  # fmt: skip


@pytest.mark.parametrize("topic", TOPICS)
def test_no_objection_to_any_item(objections: dict[str, list[str]], topic: str) -> None:
    assert objections.get(topic, []) == []


def test_no_objection_outside_the_topics_tested(objections: dict[str, list[str]]) -> None:
    assert set(objections) <= set(TOPICS)


def test_bank_covers_keys_sites_actions_and_patterns(bank: list[Item]) -> None:
    exact, named, parts = set(), set(), set()
    for item in bank:
        shown = item["presentation"]
        key = item["options"][item["key"]]["part"]
        pattern = [shown["pattern"][axis] for axis in AXES]
        degrees = tuple((row["degree"], row["follows"]) for row in pattern)
        exact.add((key, shown["site"], shown["action"], degrees))
        named.add((key, shown["site"], shown["action"], shown["pattern_name"]))
        parts.add(key)
    assert len(exact) >= 150
    assert len(named) >= 90
    assert len(parts) >= 22


def test_bank_offers_every_fault(bank: list[Item]) -> None:
    faults = Counter(option["fault"] for item in bank for option in item["options"] if option["fault"])
    assert set(faults) == FAULTS
    assert {fault: count for fault, count in faults.items() if count < 0.01 * faults.total()} == {}


def test_key_positions_are_even(bank: list[Item]) -> None:
    positions = Counter(item["key"] for item in bank)
    assert all(200 <= positions[place] <= 300 for place in range(4)), positions


def test_exported_rows_are_the_parts_and_their_forms(exported: dict[str, Item], oracle: Oracle) -> None:
    mine = {slug: row.form for slug, row in oracle.rows.items()}
    assert {slug: row["form"] for slug, row in exported.items()} == mine


def test_exported_axes_are_those_of_the_claims(exported: dict[str, Item], oracle: Oracle) -> None:
    differing = []
    for slug, row in oracle.rows.items():
        for site in (None, *oracle.words.sites):
            said = exported[slug]["axes_at"].get(site, exported[slug]["axes"])
            figures = tuple((said[axis]["value"], said[axis]["low"], said[axis]["high"]) for axis in AXES)
            if figures != row.axes(site):
                differing.append((slug, site, figures, row.axes(site)))
    assert differing == []


def test_exported_affinities_are_those_of_the_claims(exported: dict[str, Item], oracle: Oracle) -> None:
    differing = [
        (slug, site, exported[slug]["affinity"].get(site, 0.0), row.affinity(site))
        for slug, row in oracle.rows.items()
        for site in oracle.words.sites
        if abs(exported[slug]["affinity"].get(site, 0.0) - row.affinity(site)) > TOLERANCE
    ]
    assert differing == []


def test_exported_cautions_are_those_of_the_claims(exported: dict[str, Item], oracle: Oracle) -> None:
    differing = [
        (slug, sorted(set(exported[slug]["cautions"]) ^ row.unsafe_words))
        for slug, row in oracle.rows.items()
        if set(exported[slug]["cautions"]) != row.unsafe_words
    ]
    assert differing == []


def places(oracle: Oracle, kinds: set[str]) -> Iterator[tuple[Row, str, str]]:
    """Every row, action and site of the kinds named."""
    for row in oracle.rows.values():
        for action in oracle.words.actions:
            for site, entry in oracle.words.sites.items():
                if entry["kind"] in kinds:
                    yield row, action, site


def strengths_that_differ(exported: dict[str, Item], oracle: Oracle, kinds: set[str]) -> list[tuple[Any, ...]]:
    """Row, action, site, exported strength and the claims' strength, where the two differ."""
    differing = []
    for row, action, site in places(oracle, kinds):
        said = exported[row.slug]["actions"].get(action, {}).get(site, {"strength": 0.0, "derived": None})
        mine = row.action(action, site)
        derived = row.derived_action(action, site) > row.plain_action(action, site)
        if abs(said["strength"] - mine) > TOLERANCE or bool(said["derived"]) != derived:
            differing.append((row.slug, action, site, said["strength"], mine))
    return differing


def oppositions_that_differ(exported: dict[str, Item], oracle: Oracle, kinds: set[str]) -> list[tuple[str, str, str]]:
    """Row, action and site where the export and the claims disagree whether the action is opposed."""
    return [
        (row.slug, action, site)
        for row, action, site in places(oracle, kinds)
        if (action in exported[row.slug]["opposes"].get(site, ())) != row.opposed(action, site)
    ]


def test_exported_actions_are_those_of_the_claims(exported: dict[str, Item], oracle: Oracle) -> None:
    assert strengths_that_differ(exported, oracle, {"system", "organ"}) == []


def test_exported_oppositions_are_those_of_the_claims(exported: dict[str, Item], oracle: Oracle) -> None:
    assert oppositions_that_differ(exported, oracle, {"system", "organ"}) == []


def test_a_claim_at_a_system_does_not_act_in_a_shared_tissue(exported: dict[str, Item], oracle: Oracle) -> None:
    assert strengths_that_differ(exported, oracle, {"tissue"}) == []
    assert oppositions_that_differ(exported, oracle, {"tissue"}) == []


def other(item: Item) -> Item:
    """The first option that is not the key."""
    return item["options"][1 if item["key"] == 0 else 0]


def needed(item: Item) -> str:
    """An axis of the pattern that is out of balance."""
    return next(axis for axis, row in item["presentation"]["pattern"].items() if row["degree"])


def move_key(item: Item) -> None:
    """Call another option the key, faults and all."""
    wrong = (item["key"] + 1) % 4
    item["options"][item["key"]]["fault"] = item["options"][wrong]["fault"]
    item["options"][wrong]["fault"], item["key"] = None, wrong


def repeat_option(item: Item) -> None:
    item["options"][(item["key"] + 1) % 4] = copy.deepcopy(item["options"][item["key"]])


def swap_two_parts(item: Item) -> None:
    """Exchange the parts behind two options and their certificates, leaving what is said of them."""
    one, two = item["key"], (item["key"] + 1) % 4
    options, certified = item["options"], item["certificate"]["rows"]
    options[one]["part"], options[two]["part"] = options[two]["part"], options[one]["part"]
    certified[one]["part"], certified[two]["part"] = certified[two]["part"], certified[one]["part"]


def alter_certificate(item: Item) -> None:
    item["certificate"]["rows"][item["key"]]["high"][0] += 1


def alter_caution(item: Item) -> None:
    item["certificate"]["rows"][0]["unsafe"].append("planned-surgery-abroad")


def alter_verdict(item: Item) -> None:
    other(item)["verdict"] = "partly" if other(item)["verdict"] != "partly" else "little"


def alter_fit(item: Item) -> None:
    item["options"][item["key"]]["fit"]["low"] -= 1e-6


def alter_effect(item: Item) -> None:
    other(item)["effects"][2] += 1


def reverse_pattern(item: Item) -> None:
    for row in item["presentation"]["pattern"].values():
        row["degree"] = -row["degree"]


def alter_severity(item: Item) -> None:
    item["presentation"]["severity"] += 1


def alter_evidence(item: Item) -> None:
    finding = next(finding for finding in item["presentation"]["findings"] if finding["evidence"])
    axis = next(iter(finding["evidence"]))
    finding["evidence"][axis] = -finding["evidence"][axis]


def drop_findings_of_an_axis(item: Item) -> None:
    axis = needed(item)
    shown = item["presentation"]["findings"]
    shown.remove(next(finding for finding in shown if finding["evidence"].get(axis)))


def add_stray_evidence(item: Item) -> None:
    free = next(axis for axis, row in item["presentation"]["pattern"].items() if not row["degree"])
    item["presentation"]["findings"][0]["evidence"][free] = 1


def add_red_flag(item: Item) -> None:
    text = "a yellow tint in the whites of the eyes"
    flag = {"slug": "jaundice", "text": text, "evidence": {}, "order": False, "kind": "seen"}
    item["presentation"]["findings"].append(flag)


def forget_the_root(item: Item) -> None:
    for row in item["presentation"]["pattern"].values():
        row["follows"] = None


def make_the_key_unsafe(item: Item) -> None:
    item["presentation"]["person"].append(item["certificate"]["rows"][item["key"]]["unsafe"][0])


def forget_what_holds(item: Item) -> None:
    """Let the person lack what everybody with the complaint has."""
    item["presentation"]["person"].remove("breastfeeding")


def invent_a_fault(item: Item) -> None:
    other(item)["fault"] = "wrong herb"


def misname_a_fault(item: Item) -> None:
    """Give an option that is safe for this person the fault of being unsafe."""
    option = next(o for o in item["options"] if o["fault"] and o["fault"] != "unsafe for this person")
    option["fault"] = "unsafe for this person"


def shorten_the_vignette(item: Item) -> None:
    item["vignette"] = " ".join(item["vignette"].split()[:30])


def name_the_herb(item: Item) -> None:
    item["stem"] = f"{item['stem']} Think of {item['options'][item['key']]['label']}."


MUTATIONS: list[tuple[Callable[[Item], None], set[str], str]] = [
    (move_key, {"key", "second key"}, "any"),
    (repeat_option, {"options"}, "any"),
    (swap_two_parts, {"certificate", "key", "second key"}, "any"),
    (alter_certificate, {"certificate"}, "any"),
    (alter_caution, {"certificate"}, "any"),
    (alter_verdict, {"verdict"}, "any"),
    (alter_fit, {"fit"}, "any"),
    (alter_effect, {"effect"}, "any"),
    (reverse_pattern, {"key", "evidence", "pattern"}, "any"),
    (alter_severity, {"pattern"}, "any"),
    (alter_evidence, {"findings", "evidence"}, "any"),
    (drop_findings_of_an_axis, {"evidence"}, "lean"),
    (add_stray_evidence, {"findings", "evidence"}, "spare axis"),
    (add_red_flag, {"findings"}, "any"),
    (forget_the_root, {"pattern", "order"}, "rooted"),
    (make_the_key_unsafe, {"key", "verdict", "person"}, "cautioned key"),
    (forget_what_holds, {"person"}, "nursing"),
    (invent_a_fault, {"options"}, "any"),
    (misname_a_fault, {"fault"}, "safe distractor"),
    (shorten_the_vignette, {"text", "findings"}, "any"),
    (name_the_herb, {"text"}, "any"),
]


def suitable(item: Item, kind: str) -> bool:
    """Whether an item can carry a mutation."""
    shown = item["presentation"]
    degrees = {axis: row["degree"] for axis, row in shown["pattern"].items()}
    return {
        "any": True,
        "lean": sum(bool(finding["evidence"].get(needed(item))) for finding in shown["findings"]) == 2,
        "spare axis": not all(degrees.values()),
        "rooted": any(row["follows"] for row in shown["pattern"].values()),
        "nursing": shown["action"] == "galactagogue",
        "safe distractor": any(o["fault"] not in (None, "unsafe for this person") for o in item["options"]),
        "cautioned key": bool(item["certificate"]["rows"][item["key"]]["unsafe"]),
    }[kind]


@pytest.mark.parametrize(("mutate", "topics", "kind"), MUTATIONS, ids=[row[0].__name__ for row in MUTATIONS])
def test_the_checker_catches(
    bank: list[Item], oracle: Oracle, mutate: Callable[[Item], None], topics: set[str], kind: str
) -> None:
    chosen = [item for item in bank if suitable(item, kind)][:8]
    assert len(chosen) == 8
    for item in chosen:
        before = oracle.objections(item)
        spoilt = copy.deepcopy(item)
        mutate(spoilt)
        new = {text.partition(": ")[0] for text in oracle.objections(spoilt) if text not in before}
        assert topics <= new, (item["seed"], sorted(new))
