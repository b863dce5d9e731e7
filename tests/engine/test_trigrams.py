"""Names found in spite of slips."""

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herbs.engine.trigrams import TrigramIndex, trigrams
from herbs.models import SearchName
from herbs.names import fold

NAMES = (
    "elecampane",
    "marsh mallow",
    "marshmallow",
    "st johns wort",
    "hyssop",
    "hop",
    "inula helenium",
    "althaeae radix",
)
INDEX = TrigramIndex(NAMES)


def best(query: str) -> str:
    return NAMES[INDEX.find(query)[0].number]


def test_trigrams_weigh_the_beginning():
    assert trigrams("hop") == {"  h", " ho", "hop", "op "}
    assert trigrams("") == set()


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("hop", "hop"), ("hyssop", "hyssop"), ("hysop", "hyssop"), ("elecampagne", "elecampane"), ("mallow", "marsh mallow"),
        ("st jhons wort", "st johns wort"), ("helen", "inula helenium"), ("radix", "althaeae radix"), ("e", "elecampane"),
    ],
)  # fmt: skip
def test_the_likeliest_name_comes_first(typed, meant):
    assert best(typed) == meant


def test_a_name_written_as_it_stands_is_not_mixed_with_slips():
    assert [NAMES[hit.number] for hit in INDEX.find("hop")] == ["hop"]


@given(st.text(max_size=30))
def test_any_text_is_answered_in_order(text):
    hits = INDEX.find(fold(text))
    assert [hit.likeness for hit in hits] == sorted((hit.likeness for hit in hits), reverse=True)
    assert len({hit.number for hit in hits}) == len(hits)


@given(st.text(max_size=30))
def test_folding_leaves_plain_words_and_can_be_repeated(text):
    folded = fold(text)
    assert fold(folded) == folded
    assert all(letter == " " or (letter.isascii() and letter.isalnum()) for letter in folded)


def test_accents_ligatures_and_marks_do_not_matter():
    assert fold("Saint-John’s Wort") == fold("saint johns wort") == "saint johns wort"
    assert fold("Œnothera, Ænigma × ÉTÉ") == "oenothera aenigma x ete"


@pytest.mark.django_db
def test_a_slip_of_one_letter_still_finds_the_name_among_the_first_three():
    """A letter lost, doubled wrongly, changed or exchanged in every name of five letters or more."""
    names = list(SearchName.objects.exclude(kind="part").order_by("id").values_list("herb_id", "folded"))
    index, draw = TrigramIndex([name for _, name in names]), random.Random(1653)
    tried, found = 0, 0
    for herb, name in names:
        if len(name) < 5:
            continue
        at = draw.randrange(1, len(name))
        slip = draw.choice((
            name[:at] + name[at + 1 :], name[:at] + "e" + name[at:], name[:at] + "o" + name[at + 1 :],
            name[: at - 1] + name[at] + name[at - 1] + name[at + 1 :],
        ))  # fmt: skip
        herbs = list(dict.fromkeys(names[hit.number][0] for hit in index.find(" ".join(slip.split()))))
        tried += 1
        found += herb in herbs[:3]
    assert tried > 500
    assert found / tried >= 0.98
