"""Pairs from practice (basis: common practice, no source): the herb that fits stands before the one that goes wrong."""

import re

import pytest

from herbs.engine import AXES, VERDICTS, Pattern, Presentation, order, score

from .tables import table

PAIRS = table("practice_pairs.csv")
# The tables' words for an action, where they are ours; any other word is not in our vocabulary.
ACTION_WORDS = {
    "expectorant / antispasmodic": "expectorant",
    "digestive bitter": "digestive-bitter",
}
SITE_WORDS = {"hands and feet": "hands-and-feet", "lymph nodes": "lymph-nodes"}
# Pairs whose class of action is not in our vocabulary: nothing can be asked of them.
NOT_COVERED = {
    ("throat", "gargle"),
    ("gullet", "digestive remedy"),
    ("bladder", "urinary remedy"),
    ("hands and feet", "circulatory remedy"),
    ("skin", "skin wash"),
}
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


def covered(pair) -> bool:
    return (pair["site"], pair["action"]) not in NOT_COVERED


def name(pair) -> str:
    return f"{pair['fits_latin']} rather than {pair['goes_wrong_latin']} at the {pair['site']}"


COVERED = [pair for pair in PAIRS if covered(pair)]
BOTH = [pair for pair in COVERED if pair["fits"] and pair["goes_wrong"]]


def judged(medica, pair):
    """Verdicts and ranks by slug for the presentation of a pair."""
    action = ACTION_WORDS.get(pair["action"], pair["action"])
    site = SITE_WORDS.get(pair["site"], pair["site"])
    results = score(medica.catalogue, Presentation(site, action, pattern_of(pair["pattern"])))
    slugs = [row.slug for row in medica.catalogue.rows]
    verdicts = {slug: VERDICTS[int(results.verdict[n])] for n, slug in enumerate(slugs)}
    ranks = {slugs[n]: rank for rank, n in enumerate(order(medica.catalogue, results))}
    return verdicts, ranks


def test_what_is_not_covered_is_named_and_really_outside_the_vocabulary(medica):
    known = set(medica.catalogue.actions)
    for pair in PAIRS:
        word = ACTION_WORDS.get(pair["action"], pair["action"])
        assert (word in known) == covered(pair), name(pair)
    assert {(pair["site"], pair["action"]) for pair in PAIRS if not covered(pair)} == NOT_COVERED
    assert len(COVERED) >= 13 and len(BOTH) >= 8


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
