"""best-fit: which herb of this action class suits this presentation?

Valid only if the key *suits* over its whole interval, under any weights within 30 % and half a degree of doubt on any one
axis; no distractor suits anywhere under the same; and a distractor that may partly suit stays below the key by .10.
"""

import json
from dataclasses import dataclass
from random import Random
from typing import Any

import numpy as np
from numpy.typing import NDArray

from herbs.engine import AXES, AXIS_INDEX, ENGINE_VERSION, ROUNDING, VERDICTS, Catalogue, Pattern, joined
from lessons.engine import people
from lessons.engine.audit import audit, clang, uneven
from lessons.engine.because import reasons
from lessons.engine.certificate import certify
from lessons.engine.errors import NoValidItemError
from lessons.engine.faults import LACKS_ACTION, OPPOSED, PALLIATES, TOO_STRONG, TOO_WEAK, UNSAFE, applicable
from lessons.engine.findings import Shown, choose
from lessons.engine.proof import SUITS, Proof, Prover
from lessons.engine.scenery import Asking, PatternForm, PersonWord, Scenery
from lessons.engine.vignette import MAX_WORDS, MIN_WORDS, count_words, write

NAME = "best-fit"
OPTIONS = 4
ATTEMPTS = 400
PATIENCE = 80  # presentations of one action class tried before another class is drawn
WORDINGS = 8  # tries at findings and vignette before another presentation is drawn
CAUTION_CHANCE = 0.3  # how often the person has something that a caution turns on
CONSTITUTION_CHANCE = 0.15
# How readily a fault is taken where it applies: rare ones first, so that every one is met.
READINESS = {TOO_STRONG: 40.0, PALLIATES: 12.0, LACKS_ACTION: 10.0, TOO_WEAK: 4.0, UNSAFE: 40.0}
PLAIN = 2 / 3  # an option has the action at least plainly somewhere, unless an opposed action is the point
BARRED_KEYS = {"restricted"}
STEMS = (
    "Which of these {plural} suits this presentation best?",
    "Which of these four {plural} fits here?",
    "Which of these {plural} would you think of first here?",
)


@dataclass(frozen=True)
class Constraints:
    """What an item may be about: an action class, a site; None means any."""

    action: str | None = None
    site: str | None = None

    def admits(self, asking: Asking) -> bool:
        """Whether an asking is within the constraints."""
        return self.action in (None, asking.action) and self.site in (None, asking.site)

    def as_mapping(self) -> dict[str, str | None]:
        """For the recipe."""
        return {"action": self.action, "site": self.site}


@dataclass(frozen=True)
class Chosen:
    """A key with three distractors: row numbers, faults, and the word that makes one of them unsafe."""

    key: int
    distractors: tuple[tuple[int, str], ...]
    word: str | None


def generate(
    catalogue: Catalogue, scenery: Scenery, prover: Prover, *, seed: int, constraints: Constraints | None = None
) -> dict[str, Any]:
    """One item for a seed; the same seed, data and engine give the same item. NoValidItemError when none can be proved."""
    constraints = constraints or Constraints()
    rng = Random(json.dumps(_recipe(catalogue, seed, constraints), sort_keys=True))
    askings = [asking for asking in scenery.askings if constraints.admits(asking)]
    if not askings:
        raise NoValidItemError("Nothing is asked about that action and site. Choose another class or place.")
    actions = sorted({asking.action for asking in askings})
    action = actions[0]
    for attempt in range(ATTEMPTS):
        if attempt % PATIENCE == 0:
            action = rng.choice(actions)
        asking = rng.choice([a for a in askings if a.action == action])
        form = rng.choice(scenery.patterns)
        if form.slug in asking.left_out:
            continue
        constitution = _constitution(form.pattern, rng)
        pools = prover.pools(asking.action)
        pool = rng.randrange(len(pools))
        proof = prover(asking.site, asking.action, form.pattern, constitution, pool)
        chosen = _choose_options(pools[pool], scenery, asking, proof, rng)
        if chosen is None:
            continue
        for _ in range(WORDINGS):
            item = _write_item(pools[pool], scenery, asking, form, proof, chosen, constraints, seed, rng)
            if item is not None:
                return item
    raise NoValidItemError(
        "No question with a provable answer was found. Choose a wider class, or add herbs that differ in kind."
    )


def _recipe(catalogue: Catalogue, seed: int, constraints: Constraints) -> dict[str, Any]:
    """Everything an item follows from: made again from the same recipe, it is the same item."""
    return {
        "family": NAME,
        "seed": seed,
        "constraints": {key: value for key, value in constraints.as_mapping().items() if value is not None},
        "teaching_set": catalogue.teaching_set,
        "teaching_set_revision": catalogue.teaching_set_revision,
        "data_version": catalogue.data_version,
        "engine_version": ENGINE_VERSION,
    }


def _constitution(pattern: Pattern, rng: Random) -> tuple[float, float, float, float]:
    """A leaning now and then; never against a quality of the state, which would read as a contradiction."""
    leanings = [0.0] * len(AXES)
    if rng.random() < CONSTITUTION_CHANCE:
        axis, lean = rng.randrange(len(AXES)), rng.choice((-1.0, 1.0))
        if not pattern.degrees[axis] or lean * pattern.degrees[axis] > 0:
            leanings[axis] = lean
    return tuple(leanings)  # type: ignore[return-value]


def _choose_options(catalogue: Catalogue, scenery: Scenery, asking: Asking, proof: Proof, rng: Random) -> Chosen | None:
    offered = _offered(catalogue, asking, proof)
    held = catalogue.unsafe_for(asking.holds)
    safe = proof.sure & offered & ~held
    keys = [int(row) for row in np.flatnonzero(safe) if _may_be_key(catalogue, asking, proof, int(row))]
    if not keys:
        return None
    key = rng.choice(keys)
    clear = proof.clear_of(key) & offered
    rows = [int(r) for r in np.flatnonzero(clear) if catalogue.rows[r].latin != catalogue.rows[key].latin]
    faults = {row: found for row in rows if (found := applicable(proof, row))}
    word = _word(catalogue, scenery, asking, proof, key, rng) if rng.random() < CAUTION_CHANCE else None
    unsafe = held | catalogue.unsafe_for([word] if word else [])
    for r in np.flatnonzero(proof.listed & offered & unsafe):
        if catalogue.rows[r].latin != catalogue.rows[key].latin:
            faults[int(r)] = (UNSAFE,)
    picked = _pick(catalogue, faults, rng)
    if picked is None or uneven([catalogue.rows[row].label for row in (key, *(row for row, _ in picked))]):
        return None
    if word is not None and not any(catalogue.unsafe[row, catalogue.word_index[word]] for row, _ in picked):
        word = None
    return Chosen(key, picked, word)


def _offered(catalogue: Catalogue, asking: Asking, proof: Proof) -> NDArray[np.bool_]:
    """(P,) rows that may be options here: plainly of the class, and not disputed for such a state."""
    plain = catalogue.strength[:, catalogue.action_index[asking.action], :].max(axis=1) >= PLAIN - 10**-ROUNDING
    offered: NDArray[np.bool_] = plain | proof.table.opposed
    degrees = proof.table.presentation.pattern.degrees
    disputed = {part for part, axis, sign in asking.not_offered if degrees[axis] * sign > 0}
    if disputed:
        offered &= np.array([row.part_slug not in disputed for row in catalogue.rows])
    return offered


def _may_be_key(catalogue: Catalogue, asking: Asking, proof: Proof, row: int) -> bool:
    """No restricted plant is a right answer, nor one whose derived action needs another state."""
    if BARRED_KEYS & set(catalogue.rows[row].marks):
        return False
    rule = catalogue.derived.get((row, asking.action, asking.site))
    if rule is None or rule.state is None:
        return True
    axis, sign = rule.state
    return proof.table.presentation.pattern.degrees[AXIS_INDEX[axis]] * sign > 0


def _word(catalogue: Catalogue, scenery: Scenery, asking: Asking, proof: Proof, key: int, rng: Random) -> str | None:
    """A word that makes a listed herb unsafe and not the key; one that would otherwise suit is sought first."""
    barred = people.WOMEN_ONLY if asking.only else set()
    barred = barred | asking.bars | asking.holds
    taken = {scenery.words[held].group for held in asking.holds}
    # A word on which the key has any caution, even a mild one, would make the right answer doubtful.
    words = [
        word for word, column in catalogue.word_index.items()
        if scenery.words[word].group not in {*people.NOT_DRAWN, *taken}
        and word not in barred and not catalogue.cautioned[key, column]
        and asking.action in (scenery.words[word].only_for or {asking.action})
        and not _contradicts(scenery.words[word], proof)
        and not (asking.only and scenery.words[word].from_age > people.YOUNGEST)
    ]  # fmt: skip
    if not words:
        return None
    tempting = proof.listed & proof.doubted.possible[:, SUITS]
    first = [w for w in words if (catalogue.unsafe[:, catalogue.word_index[w]] & tempting).any()]
    any_listed = [w for w in words if (catalogue.unsafe[:, catalogue.word_index[w]] & proof.listed).any()]
    pool = first or any_listed
    return rng.choice(pool) if pool else None


def _contradicts(word: PersonWord, proof: Proof) -> bool:
    """Whether the state could itself come of what the word says, as puffiness of weak kidneys: then it is no drill."""
    if word.not_with is None:
        return False
    axis, sign = word.not_with
    return proof.table.presentation.pattern.degrees[axis] * sign > 0


def _pick(catalogue: Catalogue, faults: dict[int, tuple[str, ...]], rng: Random) -> tuple[tuple[int, str], ...] | None:
    """Three distractors of different species, their faults as different as the data allow, rare faults first."""
    picked: list[tuple[int, str]] = []
    for _ in range(OPTIONS - 1):
        taken = {fault for _, fault in picked}
        species = {catalogue.rows[row].latin for row, _ in picked}
        open_rows = [
            (row, fault)
            for row, found in faults.items()
            for fault in found[:1]
            if catalogue.rows[row].latin not in species
        ]
        fresh = [pair for pair in open_rows if pair[1] not in taken] or open_rows
        if not fresh:
            return None
        weights = [READINESS.get(fault, 1.0) / sum(1 for _, other in fresh if other == fault) for _, fault in fresh]
        picked.append(rng.choices(fresh, weights)[0])
    return tuple(picked)


def _write_item(
    catalogue: Catalogue, scenery: Scenery, asking: Asking, form: PatternForm, proof: Proof, chosen: Chosen,
    constraints: Constraints, seed: int, rng: Random,
) -> dict[str, Any] | None:  # fmt: skip
    findings = choose(scenery, asking, form.pattern, rng)
    if findings is None:
        return None
    constitution = proof.table.presentation.constitution
    word = scenery.words[chosen.word] if chosen.word else None
    person = people.draw(
        rng, only=asking.only, word=word, constitution=constitution, vigour=form.vigour, holds=asking.holds
    )
    rows = [chosen.key, *(row for row, _ in chosen.distractors)]
    fault_of: dict[int, str] = dict(chosen.distractors)
    turns_on = sorted(
        {
            word
            for row in rows
            for word in catalogue.unsafe_words(row)
            if scenery.words[word].group not in people.NOT_DRAWN
        }
    )
    complaint = rng.choice(asking.complaints)
    vignette = write(complaint, person, findings, scenery.words, turns_on, rng)
    labels = [catalogue.rows[row].label for row in rows]
    # The two commonest flaws are looked for before the rest is written.
    if not MIN_WORDS <= count_words(vignette) <= MAX_WORDS or clang(vignette, labels):
        return None
    order = list(rows)
    rng.shuffle(order)
    unsafe = catalogue.unsafe_for(person.words)
    term = catalogue.actions[asking.action]
    rules = {row: rule for row in rows if (rule := catalogue.derived.get((row, asking.action, asking.site)))}
    met = [scenery.words[word].name for word in sorted(person.words)]
    because = {}
    for row in order:
        meets = [scenery.words[w].name for w in sorted(person.words) if w in catalogue.unsafe_words(row)]
        words, absent = _words(catalogue, asking, row, meets or met)
        if not any(catalogue.cautioned[row, catalogue.word_index[word]] for word in person.words):
            absent |= {UNSAFE}
        derivation = rules[row].reason if row in rules else ""
        because[row] = reasons(proof, row, fault_of.get(row), rng, words=words, may_claim=absent, derivation=derivation)
    options = [_option(catalogue, proof, row, bool(unsafe[row]), fault_of.get(row)) for row in order]
    item: dict[str, Any] = {
        "family": NAME,
        "seed": seed,
        "recipe": _recipe(catalogue, seed, constraints),
        "data_version": catalogue.data_version,
        "engine_version": ENGINE_VERSION,
        "teaching_set": catalogue.teaching_set,
        "stem": rng.choice(STEMS).format(plural=term.plural),
        "vignette": vignette,
        "presentation": {
            "site": asking.site,
            "action": asking.action,
            "pattern": form.pattern.as_mapping(),
            "pattern_name": form.name,
            "severity": form.severity,
            "findings": [_finding(finding) for finding in findings],
            "constitution": {axis: int(c) for axis, c in zip(AXES, constitution, strict=True)},
            "person": sorted(person.words),
            "person_names": met,
            "asking": asking.slug,
            "complaint": complaint,
        },
        "options": options,
        "key": order.index(chosen.key),
        "because": because[chosen.key],
        "because_for": {catalogue.rows[row].slug: because[row] for row in order if row != chosen.key},
    }
    item["certificate"] = certify(catalogue, proof, order, asking)
    return None if audit(item) else item


def _option(catalogue: Catalogue, proof: Proof, row: int, unsafe: bool, fault: str | None) -> dict[str, Any]:
    record = catalogue.rows[row]
    return {
        "part": record.slug,
        "label": record.label,
        "latin": record.latin,
        "part_name": record.part,
        "form": "" if record.is_usual else record.form,
        "marks": list(record.marks),
        "verdict": "unsafe" if unsafe else VERDICTS[proof.table.verdict[row]],
        "fit": {"low": float(proof.plain.low[row]), "high": float(proof.plain.high[row])},
        "fault": fault,
        "effects": [float(e) for e in proof.table.effects[row]],
        "raw": [float(m) for m in proof.table.raw[row]],
        "parts": {
            "energetic": float(proof.table.energetic[row]),
            "affinity": float(proof.table.affinity[row]),
            "action": float(proof.table.action[row]),
            "fit": float(proof.table.fit[row]),
        },
    }


def _finding(finding: Shown) -> dict[str, Any]:
    return {
        "slug": finding.slug,
        "text": finding.text,
        "evidence": finding.evidence,
        "order": finding.order,
        "kind": finding.kind,
    }


def _article(name: str) -> str:
    return f"{'an' if name[0] in 'aeiou' else 'a'} {name}"


def _words(catalogue: Catalogue, asking: Asking, row: int, met: list[str]) -> tuple[dict[str, str], frozenset[str]]:
    """The names a row's reasons are written with, and which bars would be plainly false of it."""
    term = catalogue.actions[asking.action]
    words = {
        "name": term.name,
        "action": _article(term.name),
        "class": term.plural,
        "place": catalogue.graph[asking.site].name,
    }
    if met:
        words["caution"] = joined(met)
    site = catalogue.site_index[asking.site]
    opposed = sorted(term.opposed)
    held = [name for name in opposed if catalogue.claims_action[row, catalogue.action_index[name]]]
    if held:
        strongest = max(held, key=lambda name: catalogue.strength[row, catalogue.action_index[name], site])
        words["opposed"] = _article(catalogue.actions[strongest].name)
    elif opposed:
        words["opposed"] = _article(catalogue.actions[opposed[0]].name)
    return words, frozenset([] if held else [OPPOSED])
