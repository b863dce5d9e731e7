"""Two forms of an item: opened, as it is read, and frozen, as it is stored and printed (at most 4 kB).

The frozen form holds everything that cannot be worked out again: figures once, reasons as codes. ``opened(frozen(item))``
equals the item. Items of the first release, stored as they were read, are opened too.
"""

from collections.abc import Mapping
from typing import Any

from herbs.engine import AXES, Presentation, constitution_from_mapping, fit_of

from .because import DECISIVE, FALSE, MISCONCEPTION, TRUE, pattern_in
from .difficulty import judged
from .families import FAMILIES

Item = dict[str, Any]
FORM = 2  # the number of the frozen form
LARGEST = 4096  # bytes of a frozen item
LETTERS = {DECISIVE: "d", TRUE: "t", FALSE: "f", MISCONCEPTION: "m"}
STATUS_OF = {letter: status for status, letter in LETTERS.items()}
RECIPE = ("family", "seed", "constraints", "teaching_set", "teaching_set_revision", "data_version", "engine_version")
AS_THEY_ARE = ("stem", "vignette", "key", "words", "skeleton")
IF_ANY = ("subject", "kinds", "known")
VERDICT_LETTERS = ("suits", "partly", "little", "aggravates", "unsafe")


def _whole(value: float) -> float:
    """A whole number without its point."""
    return int(value) if value == int(value) else value


def complete(draft: Item) -> Item:
    """Add what can be worked out: effects, matches and parts of options, texts of reasons, difficulty."""
    family = FAMILIES[draft["family"]]
    draft["response"] = family.RESPONSE
    draft.setdefault("presentation", None)
    draft.setdefault("vignette", "")
    draft.setdefault("words", {})
    draft.setdefault("sources", {})
    if draft["presentation"] and draft["options"] and "verdict" in draft["options"][0]:
        _work_out(draft)
    for number, reasons in enumerate(draft["because"]):
        for reason in reasons:
            reason["text"] = family.say(draft, reason["code"], number)
    draft["difficulty"] = judged(draft)
    return draft


def _work_out(draft: Item) -> None:
    asked = draft["presentation"]
    presentation = Presentation(
        asked["site"], asked["action"], pattern_in(draft),
        constitution_from_mapping(asked["constitution"]), frozenset(asked["person"]),
    )  # fmt: skip
    for option, row in zip(draft["options"], draft["certificate"]["rows"], strict=True):
        fit = fit_of(tuple(row["value"]), row["affinity"], row["action"], presentation)
        option["effects"] = list(row["value"])
        option["raw"] = list(fit.raw)
        option["parts"] = {
            "energetic": fit.energetic,
            "affinity": row["affinity"],
            "action": row["action"],
            "fit": fit.fit,
        }


def frozen(item: Item) -> dict[str, Any]:
    """The frozen form of an item."""
    parts = [row["part"] for row in item["certificate"]["rows"]]
    packed: dict[str, Any] = {"form": FORM} | {name: item["recipe"][name] for name in RECIPE}
    packed |= {name: item[name] for name in AS_THEY_ARE}
    packed |= {name: item[name] for name in IF_ANY if item.get(name)}
    packed["presentation"] = _pack_presentation(item["presentation"]) if item["presentation"] else None
    packed["options"] = [_pack_option(option) for option in item["options"]]
    packed["because"] = [[f"{LETTERS[r['status']]}:{r['code']}" for r in reasons] for reasons in item["because"]]
    packed["certificate"] = item["certificate"] | {"rows": [_pack_row(row) for row in item["certificate"]["rows"]]}
    spoken: dict[str, list[int]] = {}
    for part, sources in item["sources"].items():
        for source in sources:
            spoken.setdefault(source, []).append(parts.index(part))
    packed["sources"] = spoken
    return packed


def opened(stored: Mapping[str, Any]) -> Item:
    """The opened form of a frozen item; an item that is open already, or of the first release, is brought to the same form."""
    if "form" not in stored:
        return dict(stored) if isinstance(stored["because"][0], list) else _from_first_release(stored)
    item: Item = {name: stored[name] for name in ("family", "seed", "teaching_set", "data_version", "engine_version")}
    item["recipe"] = {name: stored[name] for name in RECIPE}
    item |= {name: stored[name] for name in AS_THEY_ARE}
    item |= {name: stored[name] for name in IF_ANY if name in stored}
    if "subject" in item:
        item["subject"] = {name: _in_order(value) for name, value in item["subject"].items()}
    item["presentation"] = _open_presentation(stored["presentation"]) if stored["presentation"] else None
    item["options"] = [_open_option(option) for option in stored["options"]]
    item["because"] = [
        [{"code": code[2:], "status": STATUS_OF[code[0]]} for code in codes] for codes in stored["because"]
    ]
    item["certificate"] = stored["certificate"] | {"rows": [_open_row(row) for row in stored["certificate"]["rows"]]}
    parts = [row["part"] for row in item["certificate"]["rows"]]
    told: dict[str, list[str]] = {part: [] for part in parts} if stored["sources"] else {}
    for source, numbers in stored["sources"].items():
        for number in numbers:
            told[parts[number]].append(source)
    item["sources"] = {part: sorted(sources) for part, sources in told.items()}
    return complete(item)


def gradable(stored: Mapping[str, Any]) -> Item:
    """As much of a frozen item as marks follow from: response, options, key, statuses of reasons, presentation.

    Nothing is worked out and no sentence written, so that thousands can be graded anew. A mark is the same as of the opened item.
    """
    if "form" not in stored:
        return opened(stored)
    return {
        "family": stored["family"],
        "response": FAMILIES[stored["family"]].RESPONSE,
        "key": stored["key"],
        "options": [_open_option(option) for option in stored["options"]],
        "because": [[{"status": STATUS_OF[code[0]]} for code in codes] for codes in stored["because"]],
        "presentation": _open_presentation(stored["presentation"]) if stored["presentation"] else None,
    }


def _in_order(value: Any) -> Any:
    """A mapping of axes in the order of the axes: a database may keep a mapping in an order of its own."""
    if isinstance(value, dict) and value and value.keys() <= set(AXES):
        return {axis: value[axis] for axis in AXES if axis in value}
    return value


def _pack_presentation(told: Mapping[str, Any]) -> dict[str, Any]:
    pattern = [[entry["degree"], AXES.index(entry["follows"])] if entry["follows"] else entry["degree"]
               for entry in (told["pattern"][axis] for axis in AXES)]  # fmt: skip
    findings = [
        [f["slug"], f["text"], "order" if f["order"] else [int(f["evidence"].get(axis, 0)) for axis in AXES], f["kind"]]
        for f in told["findings"]
    ]
    return dict(told) | {
        "pattern": pattern,
        "findings": findings,
        "constitution": [told["constitution"][axis] for axis in AXES],
    }


def _open_presentation(packed: Mapping[str, Any]) -> dict[str, Any]:
    pattern = {}
    for axis, entry in zip(AXES, packed["pattern"], strict=True):
        degree, root = entry if isinstance(entry, list) else (entry, None)
        pattern[axis] = {"degree": degree, "follows": None if root is None else AXES[root]}
    findings = [
        {
            "slug": slug,
            "text": text,
            "evidence": {} if shown == "order" else {axis: e for axis, e in zip(AXES, shown, strict=True) if e},
            "order": shown == "order",
            "kind": kind,
        }
        for slug, text, shown, kind in packed["findings"]
    ]
    return dict(packed) | {
        "pattern": pattern,
        "findings": findings,
        "constitution": dict(zip(AXES, packed["constitution"], strict=True)),
    }


def _pack_option(option: Mapping[str, Any]) -> Any:
    if "part" not in option:
        return dict(option)
    packed = [option["part"], option["label"], option["latin"], option["part_name"], option["form"], option["marks"]]
    if "verdict" in option:
        packed += [VERDICT_LETTERS.index(option["verdict"]), option["fit"]["low"], option["fit"]["high"]]
    return [*packed, option["fault"]]


def _open_option(packed: Any) -> dict[str, Any]:
    if not isinstance(packed, list):
        return dict(packed)
    option = dict(zip(("part", "label", "latin", "part_name", "form", "marks"), packed, strict=False))
    option["marks"] = list(option["marks"])
    if len(packed) > 7:  # six names, a fault, and between them what a presentation adds
        option |= {"verdict": VERDICT_LETTERS[packed[6]], "fit": {"low": packed[7], "high": packed[8]}}
    return option | {"fault": packed[-1]}


def _pack_row(row: Mapping[str, Any]) -> list[Any]:
    value, low, high = ([_whole(e) for e in row[name]] for name in ("value", "low", "high"))
    packed: list[Any] = [row["part"], value, *([] if value == low == high else [low, high])]
    if "affinity" in row:
        packed.append([row["affinity"], row["action"], int(row["listed"]), int(row["opposed"]), *row["unsafe"]])
    return packed


def _open_row(packed: list[Any]) -> dict[str, Any]:
    part, value, *rest = packed
    asked = rest.pop() if rest and len(rest) % 2 else None
    low, high = rest or (value, value)
    row: dict[str, Any] = {"part": part, "value": list(value), "low": list(low), "high": list(high)}
    if asked is not None:
        affinity, action, listed, opposed, *unsafe = asked
        row |= {
            "affinity": affinity,
            "action": action,
            "listed": bool(listed),
            "opposed": bool(opposed),
            "unsafe": unsafe,
        }
    return row


def _from_first_release(stored: Mapping[str, Any]) -> Item:
    """An item as the first release stored it: one best-fit item, with the texts of its reasons."""
    because = [
        stored["because"] if number == stored["key"] else stored["because_for"][option["part"]]
        for number, option in enumerate(stored["options"])
    ]
    item = {name: value for name, value in stored.items() if name != "because_for"}
    sources = {
        option["part"]: [entry["slug"] for entry in stored["sources"] if option["part"] in entry["says"]]
        for option in stored["options"]
    }
    return item | {"because": because, "response": "choose", "sources": sources, "words": {}, "skeleton": ""}
