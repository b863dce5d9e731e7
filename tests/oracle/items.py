"""What an independent reader finds wrong with a printed best-fit item: figures, key, margins and verdicts."""

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from tests.oracle.claims import AXES, Vocabulary, rows
from tests.oracle.reading import reading_faults
from tests.oracle.solver import PARTLY, SUITS, VERDICTS, Candidate, Question, Survey, survey, weight_table

Item = Mapping[str, Any]

TOLERANCE = 1e-9
MARGIN = 0.10
THIRD = 1 / 3
WRONG_WAY = {f"wrong {axis}": position for position, axis in enumerate(AXES)}
FAULTS = {
    *WRONG_WAY, "feeds the root", "palliates only", "too weak", "too strong", "wrong place",
    "lacks the action here", "opposed action", "unsafe for this person",
}  # fmt: skip


def differ(one: float, other: float) -> bool:
    """Whether two figures are further apart than rounding explains."""
    return abs(one - other) > TOLERANCE


class Oracle:
    """The data files, read once; judges items one by one."""

    def __init__(self, folder: Path) -> None:
        self.words = Vocabulary(folder)
        self.rows = rows(folder, self.words)

    def objections(self, item: Item) -> list[str]:
        """Everything wrong with an item, each as "topic: what"; empty when nothing is."""
        shape = list(self.shape_faults(item))
        if shape:
            return shape
        text = reading_faults(item, self.words, self.rows)
        return [*self.profile_faults(item), *self.key_faults(item), *text]

    def shape_faults(self, item: Item) -> Iterator[str]:
        """Four different, known options; a key among them; one known fault for each of the others."""
        options = item["options"]
        parts = [option["part"] for option in options]
        if len(options) != 4 or len(set(parts)) != 4 or len({option["label"] for option in options}) != 4:
            yield f"options: not four different ones: {parts}"
        if unknown := sorted(set(parts) - set(self.rows)):
            yield f"options: unknown parts {unknown}"
        if item["key"] not in range(len(options)):
            yield f"options: the key {item['key']} is none of them"
            return
        for position, option in enumerate(options):
            fault = option["fault"]
            if (fault is None) != (position == item["key"]) or fault not in {None, *FAULTS}:
                yield f"options: {option['part']} has the fault {fault!r}"
        if [row["part"] for row in item["certificate"]["rows"]] != parts:
            yield "certificate: its rows are not the options"
        if item["presentation"]["asking"] not in self.words.askings:
            yield f"options: unknown asking {item['presentation']['asking']}"

    def profile_faults(self, item: Item) -> Iterator[str]:
        """The certificate's rows against the claims."""
        site, action = item["presentation"]["site"], item["presentation"]["action"]
        for said in item["certificate"]["rows"]:
            row = self.rows[said["part"]]
            name = f"certificate: {row.slug} at {site}"
            by_axis = zip(said["value"], said["low"], said["high"], strict=True)
            for axis, figures in zip(AXES, by_axis, strict=True):
                mine = row.axis(axis, site)
                if any(differ(a, b) for a, b in zip(figures, mine, strict=True)):
                    yield f"{name}: {axis} {figures}, by the claims {mine}"
            for what, stated, claimed in (
                ("affinity", said["affinity"], row.affinity(site)),
                ("action", said["action"], row.action(action, site)),
            ):
                if differ(stated, claimed):
                    yield f"{name}: {what} {stated}, by the claims {claimed}"
            if said["opposed"] != row.opposed(action, site):
                yield f"{name}: opposed {said['opposed']}, by the claims {row.opposed(action, site)}"
            if said["listed"] != row.listed(action):
                yield f"{name}: listed {said['listed']}, by the claims {row.listed(action)}"
            if set(said["unsafe"]) != row.unsafe_words:
                yield f"{name}: unsafe {sorted(said['unsafe'])}, by the claims {sorted(row.unsafe_words)}"

    def key_faults(self, item: Item) -> Iterator[str]:
        """Verdicts, fits, the key's proof, the margins and the faults named."""
        ask = Question.of(item["presentation"])
        weights = weight_table(item["seed"])
        options, key = item["options"], item["key"]
        candidates = [Candidate.of(self.rows[option["part"]], ask) for option in options]
        found = [survey(candidate, weights, item["seed"]) for candidate in candidates]
        for option, candidate, result in zip(options, candidates, found, strict=True):
            yield from stated_figures(option, candidate, result)
        if found[key].possible != {SUITS}:
            yield f"key: {options[key]['part']} may be {names(found[key])}"
        if not self.rows[options[key]["part"]].action(ask.action, ask.site):
            yield f"key: {options[key]['part']} has no such action there"
        for position, (option, result) in enumerate(zip(options, found, strict=True)):
            if position == key:
                continue
            if SUITS in result.possible:
                yield f"second key: {option['part']} may be {names(result)}"
            nearest = float((found[key].least - result.most).min())
            if PARTLY in result.possible and nearest < MARGIN - TOLERANCE:
                yield f"margin: {option['part']} comes within {nearest:.4f} of the key"
            if not self.rows[option["part"]].listed(ask.action):
                yield f"list: {option['part']} is not claimed as {ask.action} anywhere"
            if not fault_applies(option["fault"], candidates[position], result):
                yield f"fault: {option['fault']} does not describe {option['part']}"


def names(result: Survey) -> str:
    """The verdicts possible, in words."""
    return " or ".join(VERDICTS[code] for code in sorted(result.possible))


def stated_figures(option: Mapping[str, Any], candidate: Candidate, result: Survey) -> Iterator[str]:
    """What an option says of itself against what the claims give."""
    part = option["part"]
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


def fault_applies(fault: str, candidate: Candidate, result: Survey) -> bool:
    """Whether the words of a fault describe the candidate at its working values."""
    ask, raw = candidate.ask, result.raw
    along = {axis: candidate.value[axis] / ask.need[axis] for axis in ask.needed}
    if fault in WRONG_WAY:
        return along.get(WRONG_WAY[fault], 0.0) < 0
    leading = [along[axis] for axis in ask.leading]
    followers = [axis for axis, root in enumerate(ask.follows) if root is not None]
    return {
        "feeds the root": any(along[axis] < 0 for axis in ask.roots),
        "palliates only": any(raw[axis] > 0 and raw[ask.follows[axis]] < THIRD for axis in followers),
        "too weak": min(leading) >= 0 and any(share < 1 for share in leading),
        "too strong": any(share > 1 for share in along.values()),
        "wrong place": candidate.affinity < 0.33 - TOLERANCE,
        "lacks the action here": candidate.action < 0.33 - TOLERANCE,
        "opposed action": candidate.opposed,
        "unsafe for this person": candidate.unsafe,
    }[fault]
