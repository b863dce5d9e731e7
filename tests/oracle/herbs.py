"""What an item says of its herbs, against the claims: certificate rows, figures of options, marks, safety."""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from tests.oracle.bench import TOLERANCE, Bench, Found, Item, differ, sign
from tests.oracle.claims import AXES, PLAIN, Row
from tests.oracle.shape import reason_lists
from tests.oracle.solver import VERDICTS, Question

VERBS = {
    "warm": (0, 1), "cool": (0, -1), "moisten": (1, 1), "dri": (1, -1), "dry": (1, -1), "tighten": (2, 1),
    "relax": (2, -1), "stir": (3, 1), "quiet": (3, -1),
}  # fmt: skip
QUALITY = re.compile(r"\b(" + "|".join(VERBS) + r")(?:s|es|ing|ring)?\b", re.IGNORECASE)
LEADS = re.compile(r"^It (?P<does>[^,;]*), and (?P<axes>[^,;]*) leads? here\.$")
DEGREES = {"slightly": 1, "plainly": 2, "strongly": 3, "extremely": 4}
FIGURES = ("value", "low", "high")
NEAR = 0.33
NEVER_CHOSEN = {"restricted"}
HARMFUL = {"toxic", "restricted"}
IMPLIED = {
    "infant": "child-under-2", "child-under-2": "child-under-6", "child-under-6": "child-under-12",
    "child-under-12": "under-18", "pregnancy-first-trimester": "pregnancy", "pregnancy-last-trimester": "pregnancy",
    "oedema-of-heart-or-kidney-failure": "heart-failure", "kidney-inflammation": "kidney-disease",
    "diabetes-medicines": "diabetes", "blood-pressure-medicines": "high-blood-pressure",
    "antiepileptic-medicines": "epilepsy",
}  # fmt: skip


def qualities(text: str) -> list[tuple[int, int]]:
    """The qualities that a text names, as (axis, sign), in their order: "warms and dries" is [(0, 1), (1, -1)]."""
    return [VERBS[found.group(1).lower()] for found in QUALITY.finditer(text)]


def does(text: str) -> list[tuple[int, int, int | None]]:
    """What a text says that a herb does, as (axis, sign, degree): "warms and dries plainly" is [(0, 1, None),
    (1, -1, 2)], and "does not warm or cool" is [(0, 0, 0)].
    """
    found: list[tuple[int, int, int | None]] = []
    for clause in re.split(r"(?=\bdoes not\b)|\band\b", text):
        named = qualities(clause)
        if "does not" in clause:
            found += [(axis, 0, 0) for axis, _ in named[:1]]
        else:
            told = [degree for word, degree in DEGREES.items() if re.search(rf"\b{word}\b", clause)]
            found += [(axis, way, told[0] if told else None) for axis, way in named]
    return found


def agrees(said: Iterable[tuple[int, int, int | None]], values: Sequence[float]) -> bool:
    """Whether effects have every sign, and every degree, that is said of them."""
    return all(sign(values[axis]) == way and degree in (None, round(abs(values[axis]))) for axis, way, degree in said)


def row_faults(said: Mapping[str, Any], row: Row, site: str | None, action: str | None) -> Iterator[str]:
    """A row of the certificate against the claims; a row without a site holds for the part taken generally."""
    name = f"certificate: {row.slug} at {site}" if site else f"certificate: {row.slug}"
    if any(len(said.get(side, ())) != len(AXES) for side in FIGURES):
        yield f"{name}: not four figures each"
        return
    for axis, figures in zip(AXES, zip(*(said[side] for side in FIGURES), strict=True), strict=True):
        mine = row.axis(axis, site)
        if any(differ(a, b) for a, b in zip(figures, mine, strict=True)):
            yield f"{name}: {axis} {figures}, by the claims {mine}"
    if not site or not action:
        return
    for what, claimed in (("affinity", row.affinity(site)), ("action", row.action(action, site))):
        if differ(said[what], claimed):
            yield f"{name}: {what} {said[what]}, by the claims {claimed}"
    if said["opposed"] != row.opposed(action, site):
        yield f"{name}: opposed {said['opposed']}, by the claims {row.opposed(action, site)}"
    if said["listed"] != row.listed(action):
        yield f"{name}: listed {said['listed']}, by the claims {row.listed(action)}"
    if set(said["unsafe"]) != row.unsafe_words:
        yield f"{name}: unsafe {sorted(said['unsafe'])}, by the claims {sorted(row.unsafe_words)}"


def certificate_faults(item: Item, bench: Bench) -> Iterator[str]:
    """Every row of the certificate against the claims."""
    presentation = item.get("presentation") or {}
    for said in item["certificate"]["rows"]:
        yield from row_faults(said, bench.rows[said["part"]], presentation.get("site"), presentation.get("action"))


def rows_named(item: Item, bench: Bench, count: int) -> list[Row] | None:
    """The rows of the certificate when there are as many as the family needs."""
    found = [bench.rows[said["part"]] for said in item["certificate"]["rows"]]
    return found if len(found) == count else None


def survey_options(item: Item, bench: Bench, ask: Question) -> list[Found]:
    """What brute force finds of each herb option."""
    return [bench.found(option["part"], ask) for option in item["options"]]


def stated_figures(option: Mapping[str, Any], found: Found) -> Iterator[str]:
    """What an option says of itself against what the claims give."""
    part, (candidate, result) = option["part"], found
    if option["verdict"] != VERDICTS[result.verdict]:
        yield f"verdict: {part} is called {option['verdict']}, by the claims {VERDICTS[result.verdict]}"
    for what, stated, mine in (
        ("low", option["fit"]["low"], result.low),
        ("high", option["fit"]["high"], result.high),
        ("fit", option["parts"]["fit"], result.fit),
        ("energetic", option["parts"]["energetic"], result.energetic),
        ("affinity", option["parts"]["affinity"], candidate.affinity),
        ("action", option["parts"]["action"], candidate.action),
    ):
        if differ(stated, mine):
            yield f"fit: {what} of {part} is given as {stated}, by the claims {mine}"
    for axis, effect, raw, value, match in zip(
        AXES, option["effects"], option["raw"], candidate.value, result.raw.tolist(), strict=True
    ):
        if differ(effect, value) or differ(raw, match):
            yield f"effect: {axis} of {part} is given as {effect} ({raw}), by the claims {value} ({match})"


def label_faults(option: Mapping[str, Any], row: Row) -> Iterator[str]:
    """An option is called, in English and Latin, what the data files call it, and bears their marks."""
    if not option["label"].startswith(row.label):
        yield f"options: {row.slug} is labelled {option['label']!r}, not {row.label!r}"
    if option.get("latin") != row.latin:
        yield f"options: {row.slug} is given the name {option.get('latin')!r}, not {row.latin!r}"
    if set(option.get("marks", ())) != set(row.marks):
        yield f"safety: {row.slug} is marked {option.get('marks')}, by its file {list(row.marks)}"


def option_labels(item: Item, bench: Bench) -> Iterator[str]:
    """The labels of every herb option."""
    for option in item["options"]:
        if "part" in option:
            yield from label_faults(option, bench.rows[option["part"]])


def drawn(item: Item, bench: Bench) -> frozenset[str]:
    """The words of the person that do not hold of everybody with the complaint."""
    presentation = item["presentation"]
    return frozenset(presentation["person"]) - set(bench.words.askings[presentation["asking"]].get("holds", ()))


def closed(words: Iterable[str]) -> set[str]:
    """The words about a person with those that they imply: a child under 2 is under 6 as well."""
    found = set(words)
    for word in words:
        while word in IMPLIED:
            word = IMPLIED[word]
            found.add(word)
    return found


def recommended_faults(row: Row, person: frozenset[str], marks: Sequence[str] = ()) -> Iterator[str]:
    """What keeps an herb from being the one to give: a restricted plant, an unmarked poison, any caution on a word
    that this person has and others with the complaint do not.
    """
    if NEVER_CHOSEN & set(row.marks):
        yield f"safety: {row.slug} is {' and '.join(sorted(row.marks))}, and yet the one to give"
    elif "toxic" in row.marks and "toxic" not in marks:
        yield f"safety: {row.slug} is toxic and the one to give, without its mark"
    if met := sorted(row.cautioned_words & closed(person)):
        yield f"safety: {row.slug} is the one to give, with a caution on {met}"


def statement_faults(item: Item, bench: Bench, ask: Question) -> Iterator[str]:
    """Reasons that name qualities and the axes that lead are true where they are called true, and only there."""
    lists = reason_lists(item)
    if len(lists) != len(item["options"]):
        return
    if item.get("because_for"):  # the older form holds the key's reasons apart
        parts = [item["options"][item["key"]]["part"], *item["because_for"]]
    else:
        parts = [option["part"] for option in item["options"]]
    for part, reasons in zip(parts, lists, strict=True):
        candidate = bench.found(part, ask)[0]
        for reason in reasons:
            holds = quality_holds(reason["text"], candidate.value, ask)
            if holds is None:
                holds = bar_holds(reason["text"], bench.rows[part], ask, bench)
            if holds is not None and holds != (reason["status"] in ("true", "decisive")):
                yield f"because: {reason['text']!r} is called {reason['status']} of {part}"


def quality_holds(text: str, values: Sequence[float], ask: Question) -> bool | None:
    """Whether "It dries slightly, and moisture leads here." is true; nothing when the text says something else."""
    found = LEADS.match(text)
    if not found:
        return None
    said = does(found["does"])
    leading = {AXES.index(word) for word in re.findall(r"[a-z]+", found["axes"]) if word in AXES}
    if not said or not leading:
        return None
    return agrees(said, values) and leading <= set(ask.leading)


def bar_holds(text: str, row: Row, ask: Question, bench: Bench) -> bool | None:
    """Whether a reason that bars an herb whatever its qualities is true; nothing when the text says something else."""
    if caution := re.match(r"^Its caution for (.+) stands before any of its qualities\.$", text):
        met = {bench.words.person_words[word]["name"] for word in row.unsafe_words & ask.person}
        return caution[1] in met
    if undone := re.match(r"^It is an? (.+) too, and that undoes the action asked for\.$", text):
        opponents = bench.words.opponents(ask.action)
        plain = {bench.words.actions[other]["name"] for other in opponents if row.claimed_at(other, ask.site) >= PLAIN}
        return undone[1] in plain
    if re.match(r"^It hardly reaches ", text):
        return row.affinity(ask.site) < NEAR - TOLERANCE
    return None
