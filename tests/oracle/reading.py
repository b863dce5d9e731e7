"""What an independent reader finds wrong with the text of an item: findings, order, person and wording."""

import re
from collections.abc import Iterator, Mapping
from typing import Any

from tests.oracle.claims import AXES, Row, Vocabulary

Item = Mapping[str, Any]

FEWEST_WORDS, MOST_WORDS = 40, 90
OLDEST_MOTHER = 54
DENIALS = {
    "medicine": r"\bno (other )?medicines?\b",
    "condition": r"\bno (other|further) illness",
    "allergy": r"\b(no|or)\b[^.;]*\bknown allergies|\bno other allerg|\bnot allergic",
}
WORD_DENIALS = {
    "sun-exposure": "ultraviolet", "driving": r"\bdriv", "planned-surgery": r"\boperation\b",
    "pregnancy": "pregnant", "breastfeeding": "breastfeeding",
}  # fmt: skip


def reading_faults(item: Item, words: Vocabulary, rows: Mapping[str, Row]) -> Iterator[str]:
    """Everything wrong with the vignette and with what it rests on."""
    yield from pattern_faults(item, words)
    yield from finding_faults(item, words)
    yield from evidence_faults(item)
    yield from order_faults(item, words)
    yield from person_faults(item, words, rows)
    yield from text_faults(item)


def pattern_faults(item: Item, words: Vocabulary) -> Iterator[str]:
    """The pattern is the named one: the same signs and roots, and the severity on its leading axes."""
    presentation = item["presentation"]
    known = words.patterns.get(presentation["pattern_name"])
    asking = words.askings[presentation["asking"]]
    if (asking["action"], asking["site"]) != (presentation["action"], presentation["site"]):
        yield "pattern: site and action are not those of the asking"
    if known is None:
        yield f"pattern: {presentation['pattern_name']!r} is not in the vocabulary"
        return
    severity = presentation["severity"]
    pattern = {axis: row["degree"] for axis, row in presentation["pattern"].items()}
    follows = {axis: row["follows"] for axis, row in presentation["pattern"].items() if row["follows"]}
    if follows != known.get("follows", {}):
        yield f"pattern: roots {follows}, in the vocabulary {known.get('follows', {})}"
    free = [abs(degree) for axis, degree in known["pattern"].items() if axis not in known.get("follows", {})]
    for axis in AXES:
        degree, usual = pattern[axis], known["pattern"].get(axis, 0)
        leads = axis not in follows and abs(usual) == max(free)
        if sign(degree) != sign(usual) or (leads and usual and abs(degree) != severity):
            yield f"pattern: {axis} {degree} at severity {severity}, in the vocabulary {usual}"


def finding_faults(item: Item, words: Vocabulary) -> Iterator[str]:
    """Every finding is in the vocabulary, fits the complaint, is told as it stands there, is no red flag."""
    asking = words.askings[item["presentation"]["asking"]]
    places = {*asking["findings"], "general"}
    slugs = [finding["slug"] for finding in item["presentation"]["findings"]]
    if len(set(slugs)) != len(slugs):
        yield f"findings: one stands twice in {slugs}"
    for finding in item["presentation"]["findings"]:
        slug = finding["slug"]
        known = (words.order_findings if finding["order"] else words.findings).get(slug)
        if slug in words.red_flags or known is None:
            yield f"findings: {slug} is {'a red flag' if slug in words.red_flags else 'unknown'}"
            continue
        if known["site"] not in places:
            yield f"findings: {slug} belongs to {known['site']}, not to {sorted(places)}"
        if finding["text"] not in known["texts"] or finding["evidence"] != known.get("evidence", {}):
            yield f"findings: {slug} is not told as in the vocabulary"
        if finding["text"] not in item["vignette"]:
            yield f"findings: {slug} is not in the vignette"


def evidence_faults(item: Item) -> Iterator[str]:
    """The findings alone determine the pattern, axis by axis."""
    presentation = item["presentation"]
    findings = [finding for finding in presentation["findings"] if not finding["order"]]
    if sum(not finding["evidence"] for finding in findings) > 1:
        yield "evidence: more than one finding bears on nothing"
    for axis in AXES:
        degree = presentation["pattern"][axis]["degree"]
        marks = [finding["evidence"][axis] for finding in findings if finding["evidence"].get(axis)]
        total = sum(marks)
        if not degree:
            if total:
                yield f"evidence: {axis} is not in the pattern, yet the findings sum to {total}"
        elif sum(mark * degree > 0 for mark in marks) < 2:
            yield f"evidence: fewer than two findings show {axis}"
        elif total * degree <= 0 or abs(total - degree) > 1:
            yield f"evidence: {axis} is {degree}, yet the findings sum to {total}"


def order_faults(item: Item, words: Vocabulary) -> Iterator[str]:
    """Each root is shown by one finding of order, which says nothing else; nothing ambiguous stands alone."""
    pattern = item["presentation"]["pattern"]
    wanted = sorted(
        (row["follows"], sign(pattern[row["follows"]]["degree"]), axis, sign(row["degree"]))
        for axis, row in pattern.items()
        if row["follows"]
    )
    shown = []
    for finding in item["presentation"]["findings"]:
        known = words.order_findings.get(finding["slug"])
        if known and finding["order"]:
            root, follower = known["root"], known["follower"]
            shown.append((root["axis"], root["sign"], follower["axis"], follower["sign"]))
    if sorted(shown) != wanted:
        yield f"order: the pattern has {wanted}, the findings show {sorted(shown)}"
    findings = item["presentation"]["findings"]
    plain = [finding for finding in findings if not words.findings.get(finding["slug"], {}).get("ambiguous")]
    for finding in findings:
        if finding in plain:
            continue
        supported = {axis for other in plain for axis in other["evidence"]}
        alone = [axis for axis in finding["evidence"] if axis not in supported]
        if alone:
            yield f"order: {finding['slug']} is ambiguous and stands alone for {alone}"


def sign(degree: float) -> int:
    """-1, 0 or 1."""
    return (degree > 0) - (degree < 0)


def person_faults(item: Item, words: Vocabulary, rows: Mapping[str, Row]) -> Iterator[str]:
    """The vignette states every attribute of the person that a caution of any option turns on."""
    text, person = item["vignette"], set(item["presentation"]["person"])
    woman = re.search(r"\b(woman|girl|person)\b", text) is not None
    ages = [int(age) for age in re.findall(r"\bof (\d+)\b", text)]
    age = ages[0] if ages else None
    asking = words.askings[item["presentation"]["asking"]]
    if asking.get("only") == "woman" and not re.search(r"\b(woman|girl)\b", text):
        yield "person: the complaint is a woman's alone"
    for word in sorted(set(asking.get("holds", ())) - person):
        yield f"person: {word} holds of everybody with this complaint, yet not of this person"
    other_allergy = any(words.person_words[own]["group"] == "allergy" for own in person)
    turned_on = {word for said in item["certificate"]["rows"] for word in rows[said["part"]].unsafe_words}
    for word in sorted(turned_on | person):
        entry = words.person_words[word]
        if word in person:
            said = entry["yes"].split(" ", 1)[1]
            if said not in text:
                yield f"person: {word} is not told"
        elif entry["group"] == "life" and (not woman or (age is not None and age > OLDEST_MOTHER)):
            continue
        elif entry["group"] in ("age", "other"):
            if age is None or age < 18:
                yield f"person: the age does not settle {word}"
        elif not re.search(WORD_DENIALS.get(word) or DENIALS[entry["group"]], text):
            yield f"person: nothing is said of {word}"
        elif entry["group"] == "allergy" and other_allergy and not re.search(r"\bno other (known )?allerg", text):
            yield f"person: {word} is left open beside another allergy"


def text_faults(item: Item) -> Iterator[str]:
    """Length, and no word that gives an option away."""
    count = len(item["vignette"].split())
    if not FEWEST_WORDS <= count <= MOST_WORDS:
        yield f"text: the vignette has {count} words"
    said = set(re.findall(r"[a-z]+", f"{item['vignette']} {item['stem']}".lower()))
    for option in item["options"]:
        if "part" in option and re.findall(r"[a-z]+", option["label"].lower())[0] in said:
            yield f"text: the vignette names {option['label']}"
