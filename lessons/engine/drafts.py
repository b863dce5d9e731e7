"""Building blocks of items: options, certificate rows, and presentations told as vignettes."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from random import Random
from typing import Any

import numpy as np

from herbs.engine import AXES, VERDICTS, Catalogue, Pattern

from . import people
from .audit import clang
from .because import Reason, reasons
from .faults import OPPOSED, UNSAFE
from .findings import Shown, choose
from .proof import Proof
from .scenery import Asking, PatternForm, Scenery
from .vignette import MAX_WORDS, MIN_WORDS, count_words, write
from .workshop import Workshop

Draft = dict[str, Any]
PLACES = 9  # figures are kept to so many places; thresholds are met with more room than that
Leanings = tuple[float, float, float, float]
LEVEL: Leanings = (0.0, 0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Case:
    """A presentation before anybody is told of: what is asked, the state, and the constitution's leaning."""

    asking: Asking
    form: PatternForm
    constitution: Leanings = LEVEL


def figure(value: float) -> float:
    """A figure as it is kept."""
    return round(float(value), PLACES) + 0.0  # no minus zero


def herb(catalogue: Catalogue, row: int) -> dict[str, Any]:
    """What an option shows of a row."""
    record = catalogue.rows[row]
    return {
        "part": record.slug,
        "label": record.label,
        "latin": record.latin,
        "part_name": record.part,
        "form": "" if record.is_usual else record.form,
        "marks": list(record.marks),
    }


def judged_herb(catalogue: Catalogue, proof: Proof, row: int, *, unsafe: bool, fault: str | None) -> dict[str, Any]:
    """An option of an item with a presentation: the herb with its verdict, the bounds of its fit, and its fault."""
    return herb(catalogue, row) | {
        "verdict": "unsafe" if unsafe else VERDICTS[proof.table.verdict[row]],
        "fit": {"low": figure(proof.plain.low[row]), "high": figure(proof.plain.high[row])},
        "fault": fault,
    }


def profile_row(catalogue: Catalogue, row: int, site: str | None = None) -> dict[str, Any]:
    """A certificate's row: working values and interval ends, at a site or anywhere."""
    value, low, high = catalogue.effects(site) if site else (catalogue.value, catalogue.low, catalogue.high)
    return {
        "part": catalogue.rows[row].slug,
        "value": [figure(e) for e in value[row]],
        "low": [figure(e) for e in low[row]],
        "high": [figure(e) for e in high[row]],
    }


def judged_row(catalogue: Catalogue, proof: Proof, row: int, asking: Asking) -> dict[str, Any]:
    """A certificate's row for a presentation: the profile at the site, A, X, whether listed and opposed, unsafe words."""
    return profile_row(catalogue, row, asking.site) | {
        "affinity": figure(proof.table.affinity[row]),
        "action": figure(proof.table.action[row]),
        "listed": bool(proof.listed[row]),
        "opposed": bool(proof.table.opposed[row]),
        "unsafe": list(catalogue.unsafe_words(row)),
    }


def turns_on(scenery: Scenery, catalogue: Catalogue, rows: Iterable[int]) -> list[str]:
    """The person words that a caution of any of some rows turns on and a vignette may speak of."""
    words = {word for row in rows for word in catalogue.unsafe_words(row)}
    return sorted(word for word in words if scenery.words[word].group not in people.NOT_DRAWN)


@dataclass(frozen=True)
class Told:
    """A presentation told of a person: text, skeleton, and the plain values of the item."""

    vignette: str
    skeleton: str
    presentation: dict[str, Any]
    findings: list[Shown]


def tell(
    scenery: Scenery, case: Case, rng: Random, *, labels: Sequence[str], words: Iterable[str] = (),
    word: str | None = None, findings: list[Shown] | None = None,
) -> Told | None:  # fmt: skip
    """A vignette for a case, or None when this draw has no set of findings, the wrong length, or gives a label away.

    ``labels`` are those of the options; ``words`` the person words their cautions turn on; ``word`` one that holds of the person.
    """
    asking, form = case.asking, case.form
    found = findings if findings is not None else choose(scenery, asking, form.pattern, rng)
    if found is None:
        return None
    person = people.draw(
        rng, only=asking.only, word=scenery.words[word] if word else None, constitution=case.constitution,
        vigour=form.vigour, holds=asking.holds, scenarios=scenery.scenarios,
    )  # fmt: skip
    complaint = rng.choice(asking.complaints)
    written = write(complaint, person, found, scenery.words, words, rng)
    # The two commonest flaws are looked for before the rest is written.
    if not MIN_WORDS <= count_words(written.text) <= MAX_WORDS or clang(written.text, labels):
        return None
    presentation = presented(scenery, case, found, complaint, person.words)
    return Told(written.text, written.skeleton, presentation, found)


def presented(
    scenery: Scenery, case: Case, findings: Sequence[Shown], complaint: str, person: Iterable[str]
) -> dict[str, Any]:
    """A presentation as the plain values of an item; ``person`` are the words that hold."""
    asking, form, held = case.asking, case.form, sorted(person)
    return {
        "site": asking.site,
        "action": asking.action,
        "pattern": form.pattern.as_mapping(),
        "pattern_name": form.name,
        "state": form.slug,
        "severity": form.severity,
        "findings": [plain_finding(finding) for finding in findings],
        "constitution": {axis: int(c) for axis, c in zip(AXES, case.constitution, strict=True)},
        "person": held,
        "person_names": [scenery.words[name].name for name in held],
        "asking": asking.slug,
        "complaint": complaint,
    }


def plain_finding(finding: Shown) -> dict[str, Any]:
    """A finding as plain values."""
    return {
        "slug": finding.slug,
        "text": finding.text,
        "evidence": finding.evidence,
        "order": finding.order,
        "kind": finding.kind,
    }


def article(name: str) -> str:
    """A name with its indefinite article."""
    return f"{'an' if name[0] in 'aeiou' and not name.startswith(('eu', 'uni', 'ute')) else 'a'} {name}"


def class_words(catalogue: Catalogue, asking: Asking) -> dict[str, str]:
    """The words the reasons of an item share: the action bare, with its article, in the plural, and the place."""
    term = catalogue.actions[asking.action]
    return {
        "name": term.name,
        "action": article(term.name),
        "class": term.plural,
        "place": catalogue.graph[asking.site].name,
    }


def own_words(catalogue: Catalogue, asking: Asking, row: int) -> tuple[dict[str, str], bool]:
    """The words of one option's own: an opposed action and how a derived action works; and whether it opposes at all."""
    term, words = catalogue.actions[asking.action], {}
    site = catalogue.site_index[asking.site]
    opposed = sorted(term.opposed)
    held = [name for name in opposed if catalogue.claims_action[row, catalogue.action_index[name]]]
    if held:
        strongest = max(held, key=lambda name: catalogue.strength[row, catalogue.action_index[name], site])
        words["opposed"] = article(catalogue.actions[strongest].name)
    elif opposed:
        words["opposed"] = article(catalogue.actions[opposed[0]].name)
    rule = catalogue.derived.get((row, asking.action, asking.site))
    if rule is not None and rule.reason:
        words["derived"] = rule.reason
    return words, bool(held)


def option_reasons(
    catalogue: Catalogue, proof: Proof, case: Case, rows: Sequence[int], faults: Mapping[int, str | None],
    told: Told, rng: Random,
) -> tuple[list[list[Reason]], dict[str, Any]]:  # fmt: skip
    """The reasons of each option, in order, and the words the item needs to say them."""
    words: dict[str, Any] = class_words(catalogue, case.asking)
    names = told.presentation["person_names"]
    lists, own = [], {}
    for number, row in enumerate(rows):
        mine, opposes = own_words(catalogue, case.asking, row)
        absent = frozenset() if opposes else frozenset({OPPOSED})
        if not any(catalogue.cautioned[row, catalogue.word_index[word]] for word in told.presentation["person"]):
            absent |= {UNSAFE}
        said = words | mine | ({"caution": "x"} if names else {})
        found = reasons(proof, row, faults.get(row), rng, words=said, may_claim=absent)
        codes = {reason["code"] for reason in found}
        kept = {
            name: text for name, text in mine.items() if {"opposed": "bar:opposed", "derived": "reach"}[name] in codes
        }
        if kept:
            own[str(number)] = kept
        lists.append(found)
    if own:
        words["own"] = own
    return lists, words


def sources_on(workshop: Workshop, case: Case, rows: Sequence[int], catalogue: Catalogue) -> dict[str, list[str]]:
    """{part: sources heard on the needed axes and the action asked}."""
    axes = tuple(axis for axis, degree in enumerate(case.form.pattern.degrees) if degree)
    slugs = [catalogue.rows[row].slug for row in rows]
    return {slug: sorted(workshop.sources_of(slug, case.asking.action, axes)) for slug in slugs}


def even_constitution(pattern: Pattern, rng: Random, chance: float) -> Leanings:
    """A leaning now and then; never against a quality of the state, which would read as a contradiction."""
    leanings = [0.0] * len(AXES)
    if rng.random() < chance:
        axis, lean = rng.randrange(len(AXES)), rng.choice((-1.0, 1.0))
        if not pattern.degrees[axis] or lean * pattern.degrees[axis] > 0:
            leanings[axis] = lean
    return tuple(leanings)  # type: ignore[return-value]


def disputed(catalogue: Catalogue, case: Case) -> np.ndarray[Any, np.dtype[np.bool_]]:
    """(P,) rows whose part practice disputes for such a state: they are no options."""
    degrees = case.form.pattern.degrees
    parts = {part for part, axis, sign in case.asking.not_offered if degrees[axis] * sign > 0}
    return np.array([row.part_slug in parts for row in catalogue.rows], dtype=bool)
