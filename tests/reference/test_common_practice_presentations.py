"""Presentations written from common practice (no source), before the engine was asked: it must agree with them."""

from collections import Counter
from pathlib import Path

import pytest
import yaml

from herbs.engine import VERDICTS, Pattern, Presentation, order, score

FILE = yaml.safe_load((Path(__file__).parent / "presentations.yaml").read_text(encoding="utf-8"))
AGREED, CONTESTED = FILE["presentations"], FILE["contested"]
CLASSES = {
    "expectorant", "diuretic", "laxative", "nervine", "digestive-bitter", "demulcent", "astringent", "antispasmodic",
    "carminative", "diaphoretic", "alterative", "circulatory-stimulant",
}  # fmt: skip


def judged(medica, entry):
    """Verdict by slug, and slugs from best to worst, for the listed parts."""
    presentation = Presentation(entry["site"], entry["action"], Pattern.from_mapping(entry["pattern"]))
    table = score(medica.catalogue, presentation)
    slugs = [row.slug for row in medica.catalogue.rows]
    verdicts = {slug: VERDICTS[int(table.verdict[number])] for number, slug in enumerate(slugs)}
    ranked = [slugs[number] for number in order(medica.catalogue, table)]
    listed = {*entry["acceptable"], *entry["unacceptable"]}
    return verdicts, [slug for slug in ranked if slug in listed]


def test_presentations_span_the_classes_and_many_sites():
    counts = Counter(entry["action"] for entry in AGREED)
    assert len(AGREED) >= 50
    assert set(counts) == CLASSES
    assert min(counts.values()) >= 3
    assert len({entry["site"] for entry in AGREED}) >= 15
    slugs = [entry["slug"] for entry in AGREED + CONTESTED]
    assert len(slugs) == len(set(slugs))


def test_every_listed_part_exists_and_stands_on_one_side(medica):
    rows = {row.slug for row in medica.catalogue.rows}
    for entry in AGREED + CONTESTED:
        acceptable, unacceptable = set(entry["acceptable"]), set(entry["unacceptable"])
        assert acceptable and unacceptable and not acceptable & unacceptable, entry["slug"]
        assert acceptable | unacceptable <= rows, (entry["slug"], (acceptable | unacceptable) - rows)


@pytest.mark.parametrize("entry", AGREED, ids=lambda entry: entry["slug"])
def test_practice_and_figures_agree(medica, entry):
    verdicts, ranked = judged(medica, entry)
    told = {slug: verdicts[slug] for slug in ranked}
    assert any(verdicts[slug] == "suits" for slug in entry["acceptable"]), told
    assert not [slug for slug in entry["unacceptable"] if verdicts[slug] == "suits"], told
    assert ranked[0] in entry["acceptable"], told


def test_every_contested_presentation_gives_its_reason():
    assert all(len(entry["reason"].split()) >= 8 for entry in CONTESTED)
