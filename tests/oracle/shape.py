"""What holds of an item of every family: recipe, options, response, reasons, sources."""

from collections.abc import Iterator, Sequence
from typing import Any

from tests.oracle.bench import Bench, Item

RESPONSES = {
    "best-fit": "choose", "would-aggravate": "choose", "point-of-difference": "choose", "kinds": "match",
    "order-by-fit": "rank", "place-on-the-plane": "place", "name-the-state": "choose",
    "what-would-have-to-change": "choose", "taste-to-effect": "choose", "caution": "choose",
    "preparation": "choose", "new-finding": "lean",
}  # fmt: skip
STATUSES = {"decisive", "true", "false", "misconception"}
FEWEST_REASONS, MOST_REASONS = 3, 5
KEYS = ("family", "seed", "recipe", "stem", "options", "key", "because", "certificate", "sources")
COPIED = ("family", "seed", "teaching_set", "data_version", "engine_version")


def shape_faults(item: Item, bench: Bench) -> Iterator[str]:
    """What stands in the way of judging the item at all."""
    missing = [key for key in KEYS if key not in item]
    if missing:
        yield f"shape: nothing is said of {', '.join(missing)}"
        return
    wanted = RESPONSES[item["family"]]
    if item.get("response", wanted) != wanted:
        yield f"shape: the response is {item['response']!r}, in this family {wanted!r}"
    if not str(item["stem"]).strip():
        yield "shape: there is no stem"
    if wanted in ("choose", "rank", "match"):
        yield from option_faults(item, wanted)
    yield from key_shape(item, wanted)
    yield from certificate_shape(item, bench)
    presentation = item.get("presentation")
    if presentation and presentation["asking"] not in bench.words.askings:
        yield f"shape: unknown asking {presentation['asking']}"


def option_faults(item: Item, response: str) -> Iterator[str]:
    """Four options, no two alike; a fault for each but the key, and none where there is no single key."""
    options = item["options"]
    for what in ("part", "slug", "label"):
        said = [option[what] for option in options if what in option]
        if len(set(said)) != len(said):
            yield f"options: not four different ones: {said}"
    if len(options) != 4:
        yield f"options: {len(options)} of them, not four"
    for position, option in enumerate(options):
        if not option.get("label") or not (option.get("part") or option.get("slug")):
            yield f"options: number {position} lacks its label or its slug"
        faultless = response != "choose" or position == item["key"]
        if (option.get("fault") is None) != faultless:
            yield f"options: number {position} has the fault {option.get('fault')!r}"


def key_shape(item: Item, response: str) -> Iterator[str]:
    """The key is of the kind that the response asks for."""
    key, count = item["key"], len(item["options"])
    if response == "choose" and (isinstance(key, bool) or key not in range(count)):
        yield f"options: the key {key!r} is none of them"
    elif response == "rank" and (not isinstance(key, list) or sorted(key) != list(range(count))):
        yield f"key: {key!r} is no order of {count} options"
    elif response == "match" and (not isinstance(key, list) or sorted(key) != list(range(len(item["kinds"])))):
        yield f"key: {key!r} does not give each option one kind"
    elif response == "place" and not (
        isinstance(key, dict) and set(key) == {"low", "high"} and all(len(side) == 2 for side in key.values())
    ):
        yield f"key: {key!r} is no box on the plane"
    elif response == "lean" and key is not None:
        yield f"key: {key!r}, though only a panel can give one"


def certificate_shape(item: Item, bench: Bench) -> Iterator[str]:
    """Every part named is a known one, and the certificate's rows are those of the herb options in their order."""
    rows = [row["part"] for row in item["certificate"].get("rows", [])]
    parts = [option["part"] for option in item["options"] if "part" in option]
    if unknown := sorted({*rows, *parts} - set(bench.rows)):
        yield f"certificate: unknown parts {unknown}"
    if parts and rows != parts:
        yield f"certificate: its rows {rows} are not the options {parts}"
    if len(set(rows)) != len(rows):
        yield f"certificate: one part stands twice in {rows}"


def recipe_faults(item: Item, bench: Bench) -> Iterator[str]:
    """The recipe is whole and says the same as the item."""
    recipe = item["recipe"]
    for key in COPIED:
        if recipe.get(key) != item.get(key) or recipe.get(key) in (None, ""):
            yield f"recipe: {key} is {recipe.get(key)!r} there and {item.get(key)!r} in the item"
    if not isinstance(recipe.get("constraints"), dict):
        yield "recipe: it says nothing of constraints"
    if not isinstance(recipe.get("teaching_set_revision"), int):
        yield "recipe: it says nothing of the teaching set's revision"
    wanted = recipe.get("constraints") or {}
    presentation = item.get("presentation") or {}
    for key in ("action", "site"):
        if wanted.get(key) and presentation.get(key) not in (None, wanted[key]):
            yield f"recipe: {key} was to be {wanted[key]}, and is {presentation[key]}"


def reason_lists(item: Item) -> Sequence[Sequence[Any]]:
    """The lists of reasons, whether the item holds one list, a list of lists, or lists by part."""
    said = item["because"]
    if said and isinstance(said[0], dict):
        return [said, *item.get("because_for", {}).values()]
    return said


def because_faults(item: Item) -> Iterator[str]:
    """Each list of reasons has one decisive reason, known statuses, and nothing said twice."""
    lists = reason_lists(item)
    if not lists:
        yield "because: there are no reasons"
    if item["because"] and not isinstance(item["because"][0], dict) and len(lists) not in (1, len(item["options"])):
        yield f"because: {len(lists)} lists for {len(item['options'])} options"
    for number, reasons in enumerate(lists):
        texts = [reason["text"] for reason in reasons]
        statuses = [reason["status"] for reason in reasons]
        if not FEWEST_REASONS <= len(reasons) <= MOST_REASONS:
            yield f"because: list {number} has {len(reasons)} reasons"
        if statuses.count("decisive") != 1:
            yield f"because: list {number} has {statuses.count('decisive')} decisive reasons"
        if unknown := sorted(set(statuses) - STATUSES):
            yield f"because: list {number} has the statuses {unknown}"
        if len({text.strip().casefold() for text in texts}) != len(texts):
            yield f"because: list {number} says something twice"
        codes = [repr(reason.get("code")) for reason in reasons]
        if len(set(codes)) != len(codes) and not isinstance(item["because"][0], dict):
            yield f"because: list {number} lacks a code or has one twice"
        if not all(text.strip() for text in texts):
            yield f"because: list {number} has a reason without words"


def source_faults(item: Item, bench: Bench) -> Iterator[str]:
    """Every source named is known, and says something about the part it is named for."""
    sources = item["sources"]
    if isinstance(sources, dict):
        pairs = [(part, slug) for part, slugs in sources.items() for slug in slugs]
    else:
        pairs = [(part, row["slug"]) for row in sources for part in row["says"]]
    for part, slug in pairs:
        row = bench.rows.get(part)
        if row is None:
            yield f"sources: {part} is no known part"
        elif slug not in bench.words.sources:
            yield f"sources: {slug} is no known source"
        elif not any(claim["source"] == slug for claim in row.claims):
            yield f"sources: {slug} says nothing of {part}"
