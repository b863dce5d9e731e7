"""Pairs from practice (basis: common practice, no source): the herb that fits stands before the one that goes wrong."""

import re

import pytest

from herbs.engine import AXES, VERDICTS, Pattern, Presentation, order, score

from .tables import table

PAIRS = table("practice_pairs.csv")
# What is asked for a pair whose words for site or action are not ours: {(site, action) of the table: (site, action) asked}.
ASKED = {
    # The expectorant that the pair is about also has to release the spasm; the class is the expectorant.
    ("bronchi", "expectorant / antispasmodic"): ("bronchi", "expectorant"),
    ("stomach", "digestive bitter"): ("stomach", "digestive-bitter"),
    ("lymph nodes", "lymphatic"): ("lymph-nodes", "lymphatic"),
    # A gargle is a way of giving; for a slack throat with strings of mucus the gargle that is meant draws together.
    ("throat", "gargle"): ("throat", "astringent"),
    # A slack bladder that leaks: what is meant holds, and the pair calls driving water a fault.
    ("bladder", "urinary remedy"): ("bladder", "astringent"),
    # A wash is a way of giving; on a weeping, lax patch the wash that is meant draws together and dries.
    ("skin", "skin wash"): ("skin", "astringent"),
    # A remedy for the circulation of the limbs is what the class of circulatory stimulants is asked for.
    ("hands and feet", "circulatory remedy"): ("hands-and-feet", "circulatory-stimulant"),
    # Sour rising with a slack cardia: the remedy that is meant lowers the acid.
    ("gullet", "digestive remedy"): ("gullet", "antacid"),
    # We name no pelvis; a flow that is slow to start, with dark clots, is of the womb, and the remedy brings it on.
    ("pelvis", "uterine remedy"): ("uterus", "emmenagogue"),
    # A thin, pale discharge with dragging: what is meant checks it.
    ("vagina", "reproductive remedy"): ("vagina", "astringent"),
}  # fmt: skip
# Pairs whose class of action is not in our vocabulary: nothing can be asked of them.
NOT_COVERED = {("thyroid", "thyroid remedy")}
# Where the data and the pair part, with the reason: {(fitting part or "", wrong part or "", what): reason}.
CONTESTED: dict[tuple[str, str, str], str] = {}


def pattern_of(words: str) -> Pattern:
    """`temperature -1 follows moisture; moisture +2` as a pattern."""
    shape = {}
    for piece in words.split("; "):
        axis, degree, root = re.fullmatch(r"(\w+) ([+-]\d)(?: follows (\w+))?", piece).groups()
        assert axis in AXES
        shape[axis] = {"degree": int(degree), "follows": root}
    return Pattern.from_mapping(shape)


def asked(pair) -> tuple[str, str]:
    """Site and action of our vocabulary that a pair asks for."""
    return ASKED.get((pair["site"], pair["action"]), (pair["site"], pair["action"]))


def covered(pair) -> bool:
    return (pair["site"], pair["action"]) not in NOT_COVERED


def name(pair) -> str:
    return f"{pair['fits_latin']} rather than {pair['goes_wrong_latin']} at the {pair['site']}"


COVERED = [pair for pair in PAIRS if covered(pair)]
BOTH = [pair for pair in COVERED if pair["fits"] and pair["goes_wrong"]]


def judged(medica, pair):
    """Verdicts and ranks by slug for the presentation of a pair."""
    site, action = asked(pair)
    results = score(medica.catalogue, Presentation(site, action, pattern_of(pair["pattern"])))
    slugs = [row.slug for row in medica.catalogue.rows]
    verdicts = {slug: VERDICTS[int(results.verdict[n])] for n, slug in enumerate(slugs)}
    ranks = {slugs[n]: rank for rank, n in enumerate(order(medica.catalogue, results))}
    return verdicts, ranks


def test_what_is_not_covered_is_named_and_really_outside_the_vocabulary(medica):
    known = set(medica.catalogue.actions)
    for pair in PAIRS:
        site, action = asked(pair)
        assert (action in known) == covered(pair), name(pair)
        assert site in medica.catalogue.site_index, name(pair)
    assert {(pair["site"], pair["action"]) for pair in PAIRS if not covered(pair)} == NOT_COVERED
    assert len(COVERED) >= 21 and len(BOTH) >= 21


def test_every_reading_of_a_word_is_of_a_pair_in_the_table():
    assert set(ASKED) <= {(pair["site"], pair["action"]) for pair in PAIRS}


def test_every_part_named_in_the_table_is_in_the_data(medica):
    assert {pair[side] for pair in PAIRS for side in ("fits", "goes_wrong") if pair[side]} <= set(medica.rows)


@pytest.mark.parametrize("pair", BOTH, ids=name)
def test_the_fitting_herb_stands_before_the_wrong_one(medica, pair):
    verdicts, ranks = judged(medica, pair)
    expected = (pair["fits"], pair["goes_wrong"], "order") not in CONTESTED
    told = {slug: verdicts[slug] for slug in (pair["fits"], pair["goes_wrong"])}
    assert (ranks[pair["fits"]] < ranks[pair["goes_wrong"]]) == expected, told


@pytest.mark.parametrize("pair", [pair for pair in COVERED if pair["fits"]], ids=name)
def test_the_fitting_herb_suits(medica, pair):
    verdicts, _ = judged(medica, pair)
    expected = (pair["fits"], pair["goes_wrong"], "fits") not in CONTESTED
    assert (verdicts[pair["fits"]] == "suits") == expected, verdicts[pair["fits"]]


@pytest.mark.parametrize("pair", [pair for pair in COVERED if pair["goes_wrong"]], ids=name)
def test_the_wrong_herb_goes_wrong_as_the_table_says(medica, pair):
    verdicts, _ = judged(medica, pair)
    verdict = verdicts[pair["goes_wrong"]]
    assert verdict != "suits"
    expected = (pair["fits"], pair["goes_wrong"], "goes wrong") not in CONTESTED
    assert (verdict == pair["verdict"]) == expected, verdict


def test_every_contested_pair_gives_its_reason():
    assert all(len(reason.split()) >= 8 for reason in CONTESTED.values())
