"""caution: an herb suits four people alike but for one word each; for whom must it give way, and to what?

Valid only if the herb's qualities are sure to suit (over its whole interval, any weights, half a degree of doubt), exactly one of
the four has a word that makes it unsafe, and it has no caution of any level for the words of the other three, nor for words
that go with them unsaid. What takes its place is sure to suit and has no caution of any level for the word.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from random import Random
from typing import Any

import numpy as np
from numpy.typing import NDArray

from herbs.engine import SHIFT, SUITS_LEADING, Pattern, capital
from lessons.engine.alike import Four, askable, draw_four, kin, write_four
from lessons.engine.audit import uneven
from lessons.engine.because import DECISIVE, FALSE, MISCONCEPTION, TRUE, Reason, does, leads, ordered_leading
from lessons.engine.certificate import extremes, presentation_of
from lessons.engine.constraints import Constraints
from lessons.engine.drafts import Draft, judged_row, presented, sources_on
from lessons.engine.drawing import Drawn, draw_case, may_be_key, offered_rows
from lessons.engine.findings import choose
from lessons.engine.proof import SUITS
from lessons.engine.qualities import inset
from lessons.engine.scenery import Scenery
from lessons.engine.vignette import MAX_WORDS, MIN_WORDS, count_words
from lessons.engine.workshop import Workshop

NAME = "caution"
TITLE = "Who needs another herb"
RESPONSE = "choose"
FINITE = PANEL = False
WORDINGS = 6  # tries at findings and vignette before another presentation is drawn
TRIED = 8  # herbs and words tried for one presentation
STAND_BACK = 0.7  # how often allergies are tried last
PAIRING = ("allergy", "medicine")  # groups of which two pair at sight
LONE = 0.5  # how often the key is the only one of such a group
OTHERS = 3
NOBODY, NOBODY_LABEL = "nobody", "someone of whom there is no more to tell"
NOBODY_CHANCE = 0.3
CLASS_WORDS = 0.8  # how often a word of the others is one that some other herb of the class has a caution for
NO_CAUTION = "no caution here"
MARKED = {"toxic", "restricted"}  # no such plant is named as an answer here
STEMS = (
    "By its qualities {herb} suits all four. For which of them do its cautions call for another {name}?",
    "{Herb} would meet this state in each of the four. Which of them needs another {name} for safety?",
    "You think of {herb}, which would fit what these four share. Whose case asks for another {name} because of a caution?",
    "The four share one state, and {herb} would fit it. For which of them must it give way to another {name}?",
)
KEEP = "It may stay, for no caution of its own meets this person."
LEAD = "{does}, and {leads} for all four."
SWAP = "{label} should take its place: {does}, and meets no caution."
LESS = (
    "A smaller dose of it will do, since its qualities are right here.",
    "It may be given for a shorter time, since its qualities are right here.",
    "Any other {name} will do, since safety alone is in question.",
)
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Chosen:
    """The herb asked about, its replacement and two that are none (row numbers), the key's word and those of the others."""

    herb: int
    instead: int
    others: tuple[int, int]
    word: str
    words: tuple[str, ...]

    @property
    def rows(self) -> list[int]:
        """Rows in the order of the certificate."""
        return [self.herb, self.instead, *self.others]


@dataclass(frozen=True)
class Tries:
    """For one case: (herb, word that makes it unsafe, words it has no caution for: those of its class, the rest); and (P,) which
    rows fit, which might seem to, and which plainly do not."""

    met: list[tuple[int, str, tuple[tuple[str, ...], tuple[str, ...]]]]
    fit: Bools
    tempting: Bools
    unfit: Bools


def drafts(workshop: Workshop, constraints: Constraints, rng: Random) -> Iterator[Draft]:
    """Drafts of items, one after another; NoValidItemError when nothing within the constraints can be proved."""
    scenery = workshop.scenery
    for drawn in draw_case(workshop, constraints, rng, constitution_chance=0.0):
        chosen = _choose(workshop, drawn, constraints, rng)
        if chosen is None:
            continue
        for _ in range(WORDINGS):
            four = draw_four(
                rng, drawn.case.asking, [scenery.words[w] for w in (chosen.word, *chosen.words) if w != NOBODY],
                drawn.case.form.vigour,
            )  # fmt: skip
            if four is None:
                break
            draft = _write(workshop, drawn, chosen, four, rng)
            if draft is not None:
                yield draft


def _choose(workshop: Workshop, drawn: Drawn, constraints: Constraints, rng: Random) -> Chosen | None:
    case = drawn.case
    key = (
        NAME,
        case.asking.slug,
        case.form,
        drawn.catalogue.rows[0].slug if drawn.catalogue.rows else "",
        constraints.scope,
    )
    if key not in workshop.kept:
        workshop.kept[key] = _tries(workshop, drawn, constraints)
    tries: Tries = workshop.kept[key]
    tried = rng.sample(tries.met, min(TRIED, len(tries.met)))
    # Allergies to a plant family are the commonest caution; now and then they stand back for the rest.
    if rng.random() < STAND_BACK:
        tried.sort(key=lambda one: workshop.scenery.words[one[1]].group == "allergy")
    for herb, word, free in tried:
        replaced = _replacements(workshop, drawn, herb, word, tries, rng)
        others = _other_words(workshop.scenery, word, free, rng)
        if replaced is not None and others is not None:
            return Chosen(herb, replaced[0], replaced[1:], word, others)
    return None


def _tries(workshop: Workshop, drawn: Drawn, constraints: Constraints) -> Tries:
    """What can be asked of one case, worked out once: each herb that fits with each word that makes it unsafe."""
    catalogue, case, proof = drawn.catalogue, drawn.case, drawn.proof
    offered = offered_rows(catalogue, case, proof, constraints) & ~catalogue.unsafe_for(case.asking.holds)
    offered = offered & np.array([not MARKED & set(row.marks) for row in catalogue.rows], dtype=bool)
    fit = np.array(
        [bool(sure) and may_be_key(catalogue, case, row) for row, sure in enumerate(proof.sure & offered)], dtype=bool
    )
    weak = proof.table.raw[:, list(case.form.pattern.leading)] < SUITS_LEADING
    unfit = offered & proof.listed & proof.never & weak.any(axis=1)
    tempting = offered & proof.listed & proof.doubted.possible[:, SUITS]
    columns = {word: catalogue.word_index[word] for word in askable(workshop.scenery, case.asking, case.form.pattern)}
    in_class = {word for word, column in columns.items() if (catalogue.unsafe[:, column] & offered).any()}
    met = []
    for herb in np.flatnonzero(fit).tolist():
        cautions = {word for word, column in catalogue.word_index.items() if catalogue.cautioned[herb, column]}
        free = [word for word in columns if not kin(word) & cautions]
        free.sort(key=lambda word: word not in in_class)
        split = sum(word in in_class for word in free)
        met += [
            (herb, word, (tuple(free[:split]), tuple(free[split:])))
            for word, column in columns.items()
            if catalogue.unsafe[herb, column] and (fit & ~workshop.cautioned(catalogue)[:, column]).any()
        ]
    return Tries(met, fit, tempting, unfit)


def _replacements(
    workshop: Workshop, drawn: Drawn, herb: int, word: str, tries: Tries, rng: Random
) -> tuple[int, int, int] | None:
    """A row that may take the herb's place, and two that may not: one as unsafe as the herb, if there is one, and one that
    plainly does not suit."""
    catalogue = drawn.catalogue
    column = catalogue.word_index[word]
    cautioned, unsafe = workshop.cautioned(catalogue)[:, column], catalogue.unsafe[:, column]
    groups = (tries.fit & ~cautioned, tries.tempting & unsafe, tries.unfit & ~cautioned)
    picked: list[int] = []
    species = {catalogue.rows[herb].latin}
    for group in (groups[0], *rng.sample(groups[1:], 2), *rng.sample(groups[1:], 2)):
        pool = [row for row in np.flatnonzero(group).tolist() if catalogue.rows[row].latin not in species]
        if pool:
            picked.append(rng.choice(pool))
            species.add(catalogue.rows[picked[-1]].latin)
        elif not picked:
            return None
        if len(picked) == OTHERS:
            return picked[0], picked[1], picked[2]
    return None


def _other_words(
    scenery: Scenery, word: str, free: tuple[tuple[str, ...], tuple[str, ...]], rng: Random
) -> tuple[str, ...] | None:
    """Three words, or two and nobody's, for which the herb has no caution, and no two of which go together unsaid."""
    first, rest = (rng.sample(words, len(words)) for words in free)
    ordered = [*first, *rest] if rng.random() < CLASS_WORDS else rng.sample([*first, *rest], len(first) + len(rest))
    picked = [NOBODY] if rng.random() < NOBODY_CHANCE else []
    barred = set(kin(word))
    # One other allergy beside the key's, or one other medicine, would make a pair that points at the key.
    group = scenery.words[word].group
    paired = group in PAIRING and rng.random() < LONE
    for other in ordered:
        if len(picked) == OTHERS:
            break
        if other not in barred and not (paired and scenery.words[other].group == group):
            picked.append(other)
            barred |= kin(other)
    alike = sum(scenery.words[other].group == group for other in picked if other != NOBODY)
    return tuple(picked) if len(picked) == OTHERS and not (group in PAIRING and alike == 1) else None


def _label(scenery: Scenery, word: str) -> str:
    return NOBODY_LABEL if word == NOBODY else f"someone who {scenery.words[word].yes}"


def _write(workshop: Workshop, drawn: Drawn, chosen: Chosen, four: Four, rng: Random) -> Draft | None:
    catalogue, case, scenery = drawn.catalogue, drawn.case, workshop.scenery
    findings = choose(scenery, case.asking, case.form.pattern, rng)
    if findings is None:
        return None
    # Four people do not share a chance remark.
    findings = [finding for finding in findings if finding.order or finding.evidence]
    complaint = rng.choice(case.asking.complaints)
    vignette = write_four(complaint, four, findings, rng)
    words = [chosen.word, *chosen.words]
    rng.shuffle(words)
    options = [
        {"slug": w, "label": _label(scenery, w), "fault": None if w == chosen.word else NO_CAUTION} for w in words
    ]
    if not MIN_WORDS <= count_words(vignette.text) <= MAX_WORDS or uneven([option["label"] for option in options]):  # type: ignore[misc]
        return None
    rows, term = chosen.rows, catalogue.actions[case.asking.action]
    label = inset(catalogue.rows[chosen.herb].label)
    columns = [catalogue.word_index[w] for w in words if w != NOBODY]
    named = [w for w in words if w != NOBODY]
    return {
        "stem": rng.choice(STEMS).format(herb=label, Herb=capital(label), name=term.name),
        "vignette": vignette.text,
        "presentation": presented(scenery, case, findings, complaint, case.asking.holds),
        "options": options,
        "key": words.index(chosen.word),
        "because": [_reasons(w == chosen.word, drawn, chosen, rng) for w in words],
        "words": {"name": term.name, "labels": [inset(catalogue.rows[row].label) for row in rows]},
        "subject": {"part": catalogue.rows[chosen.herb].slug},
        "certificate": {
            "rows": [judged_row(catalogue, drawn.proof, row, case.asking) for row in rows],
            # For each row, the words of the four for which it has a caution of any level.
            "cautioned": [
                [w for w, c in zip(named, columns, strict=True) if catalogue.cautioned[row, c]] for row in rows
            ],
        },
        "skeleton": vignette.skeleton,
        "sources": sources_on(workshop, case, rows, catalogue),
    }


def _reasons(is_key: bool, drawn: Drawn, chosen: Chosen, rng: Random) -> list[Reason]:
    """For the key: what is given instead; for the others: that the herb may stay. The same sentences are offered to all."""
    unsafe = drawn.catalogue.unsafe[:, drawn.catalogue.word_index[chosen.word]]
    found = [
        {"code": "keep", "status": FALSE if is_key else DECISIVE},
        {"code": "swap:1", "status": DECISIVE if is_key else MISCONCEPTION},
        *(
            {"code": f"swap:{number}", "status": FALSE if unsafe[row] else MISCONCEPTION}
            for number, row in enumerate(chosen.others, 2)
        ),
        rng.choice(
            ({"code": "lead", "status": TRUE}, {"code": f"less:{rng.randrange(len(LESS))}", "status": MISCONCEPTION})
        ),
    ]
    rng.shuffle(found)
    return found


def say(item: Mapping[str, Any], code: str, number: int) -> str:
    """The sentence a code stands for; the same for every option."""
    kind, _, rest = code.partition(":")
    pattern = Pattern.from_mapping(item["presentation"]["pattern"])
    leading = ordered_leading(pattern)
    rows, words = item["certificate"]["rows"], item["words"]
    if kind == "keep":
        return KEEP
    if kind == "lead":
        return LEAD.format(does=does(leading, rows[0]["value"]), leads=leads(leading))
    if kind == "less":
        return LESS[int(rest)].format(name=words["name"])
    said = does(leading, rows[int(rest)]["value"])
    return SWAP.format(label=capital(words["labels"][int(rest)]), does=f"{said[0].lower()}{said[1:]}")


def recheck(item: Mapping[str, Any]) -> list[str]:
    """What of the key does not hold: by the scalar arithmetic at every candidate for an extreme, and the stored cautions."""
    presentation = presentation_of(item)
    rows, noted = item["certificate"]["rows"], item["certificate"]["cautioned"]
    herb, words = rows[0], [option["slug"] for option in item["options"]]
    key = words[item["key"]]
    wrong: list[str] = []
    if herb["part"] != item["subject"]["part"]:
        return ["The certificate is of another herb."]
    if len(set(words)) != len(words):
        wrong.append("Two people are told apart by the same word.")
    verdicts = [extremes(row, presentation, SHIFT)[0] for row in rows]
    if verdicts[0] != {"suits"}:
        wrong.append(f"{herb['part']}: is not sure to suit what the four share.")
    for number, word in enumerate(words):
        if (word in herb["unsafe"]) != (number == item["key"]):
            wrong.append(f"{word}: {'no harm is known' if number == item['key'] else 'harm is known'} for this person.")
        elif number != item["key"] and word in noted[0]:
            wrong.append(f"{word}: the herb has a caution here, if a milder one.")
        if (item["options"][number]["fault"] is None) != (number == item["key"]):
            wrong.append(f"{word}: the fault does not go with the key.")
    for row, cautions in zip(rows, noted, strict=True):
        if any(word in row["unsafe"] and word not in cautions for word in words):
            wrong.append(f"{row['part']}: a caution is missing from the list.")
    wrong += _recheck_reasons(item, key, verdicts)
    return wrong


def _recheck_reasons(item: Mapping[str, Any], key: str, verdicts: Sequence[set[str]]) -> list[str]:
    """Whether exactly the row named as the replacement is one."""
    rows, noted, wrong = item["certificate"]["rows"], item["certificate"]["cautioned"], []
    for number, reasons in enumerate(item["because"]):
        decisive = next((reason["code"] for reason in reasons if reason["status"] == DECISIVE), "")
        if number != item["key"]:
            if decisive != "keep":
                wrong.append(f"The reasons of option {number} do not let the herb stay.")
            continue
        for reason in reasons:
            kind, _, rest = reason["code"].partition(":")
            if kind != "swap":
                continue
            row = int(rest)
            serves = verdicts[row] == {"suits"} and key not in noted[row]
            fails = key in rows[row]["unsafe"] or "suits" not in verdicts[row]
            if not (serves if reason["status"] == DECISIVE else fails):
                wrong.append(
                    f"{rows[row]['part']}: {'may not' if reason['status'] == DECISIVE else 'may'} take its place."
                )
        if not decisive.startswith("swap:"):
            wrong.append("The key's reasons name nothing that takes the herb's place.")
    return wrong
