"""export_profiles, explain and generate_items: their published shape, and a sentence for every slip."""

import json
from io import StringIO

import numpy as np
import pytest
from django.core.management import CommandError, call_command

from herbs.engine import AXES, CONSTANTS, ENGINE_VERSION, VERDICTS
from herbs.models import Herb, Release, TeachingSet, Term
from lessons.engine import opened

pytestmark = pytest.mark.django_db
DRY = {"site": "respiratory", "action": "expectorant", "pattern": {"moisture": {"degree": -2}}}
EMPTY = "The materia medica is empty. Run: python manage.py load_materia_medica"


def run(name, *arguments):
    out = StringIO()
    call_command(name, *arguments, stdout=out)
    return out.getvalue()


def refused(name, *arguments):
    """The sentence a command refuses with."""
    with pytest.raises(CommandError) as error:
        run(name, *arguments)
    return str(error.value)


@pytest.fixture
def empty():
    for model in (Release, Herb, Term, TeachingSet):
        model.objects.all().delete()


def items(*arguments):
    return [json.loads(line) for line in run("generate_items", *arguments).splitlines()]


# export_profiles


@pytest.fixture
def exported():
    return json.loads(run("export_profiles"))


def test_profiles_carry_versions_set_and_constants(exported, medica):
    assert set(exported) == {"data_version", "engine_version", "teaching_set", "constants", "parts"}
    assert exported["data_version"] == medica.catalogue.data_version
    assert exported["engine_version"] == ENGINE_VERSION
    assert exported["teaching_set"] == "contemporary-western"
    assert exported["constants"] == CONSTANTS
    assert [part["slug"] for part in exported["parts"]] == [row.slug for row in medica.catalogue.rows]


def test_every_profile_has_the_same_shape(exported):
    keys = {
        "slug",
        "label",
        "latin",
        "part",
        "form",
        "axes",
        "axes_at",
        "affinity",
        "actions",
        "opposes",
        "cautions",
        "marks",
    }
    for part in exported["parts"]:
        assert set(part) >= keys
        for axes in [part["axes"], *part["axes_at"].values()]:
            assert list(axes) == list(AXES)
            for axis in axes.values():
                assert set(axis) == {"value", "low", "high"}
                assert -4 <= axis["low"] <= axis["value"] <= axis["high"] <= 4
        assert all(0 < share <= 1 for share in part["affinity"].values())
        for sites in part["actions"].values():
            assert sites
            for action in sites.values():
                assert set(action) == {"strength", "derived"} and 0 < action["strength"] <= 1
                assert action["derived"] is None or len(action["derived"].split()) > 4


def test_profiles_hold_the_very_numbers_of_the_catalogue(exported, medica):
    herbs = medica.catalogue
    for number, part in enumerate(exported["parts"]):
        assert [part["axes"][axis]["value"] for axis in AXES] == herbs.value[number].tolist()
        affinity = np.zeros(len(herbs.site_index))
        for site, share in part["affinity"].items():
            affinity[herbs.site_number(site)] = share
        assert np.array_equal(affinity, herbs.affinity[number])
        strength = np.zeros(herbs.strength.shape[1:])
        for action, sites in part["actions"].items():
            for site, figures in sites.items():
                strength[herbs.action_number(action), herbs.site_number(site)] = figures["strength"]
        assert np.array_equal(strength, herbs.strength[number])
        assert part["cautions"] == list(herbs.unsafe_words(number))


def test_what_holds_only_at_a_site_and_what_is_derived_are_exported(exported):
    parts = {part["slug"]: part for part in exported["parts"]}
    cleavers = parts["galium-aparine-herb"]
    assert cleavers["axes"]["moisture"]["value"] == -1
    assert cleavers["axes_at"]["bladder"]["moisture"]["value"] == 1
    yam = parts["dioscorea-villosa-root"]["actions"]["laxative"]["bowel"]
    assert yam["strength"] == pytest.approx(0.67) and "antispasmodic" in yam["derived"]
    assert "toxic" in parts["lobelia-inflata-herb"]["marks"]


def test_profiles_of_an_unknown_set_are_refused_with_a_sentence():
    assert (
        refused("export_profiles", "--teaching-set", "school-of-nowhere")
        == "There is no teaching set 'school-of-nowhere'."
    )


def test_profiles_of_an_empty_database_are_refused_with_what_to_do(empty):
    assert refused("export_profiles") == EMPTY


# explain


def explain(part="althaea-officinalis-leaf", wanted=DRY, *arguments):
    return run("explain", part, "--presentation", json.dumps(wanted), *arguments)


def cannot_explain(part, wanted, *arguments):
    words = wanted if isinstance(wanted, str) else json.dumps(wanted)
    return refused("explain", part, "--presentation", words, *arguments)


def test_an_explanation_shows_every_part_of_the_fit(medica):
    text = explain()
    lines = text.splitlines()
    assert lines[0] == "marshmallow leaf (Althaea officinalis) for expectorant at respiratory"
    for axis in AXES:
        assert any(line.strip().startswith(axis) for line in lines)
    for figure in ("E energetic match", "A affinity", "X action", "F fit"):
        assert figure in text
    assert "It suits. Possible within the sources: suits." in text


def test_an_explanation_names_the_root_the_derivation_and_the_caution():
    wanted = {**DRY, "pattern": {"moisture": {"degree": -2}, "temperature": {"degree": 1, "follows": "moisture"}}}
    assert "follows moisture" in explain(wanted=wanted)
    gripped = {"site": "bowel", "action": "laxative", "pattern": {"tone": {"degree": 2}}}
    assert "The action is derived: an antispasmodic" in explain("dioscorea-villosa-root", gripped)
    pregnant = explain("inula-helenium-root", {**DRY, "person": ["pregnancy"]})
    assert "A caution meets the person: pregnancy." in pregnant
    assert "It is unsafe for this person. Possible within the sources: is unsafe for this person." in pregnant


@pytest.mark.parametrize(
    ("part", "wanted", "sentence"),
    [
        ("weed-root", DRY, "There is no part 'weed-root' in the materia medica."),
        ("inula-helenium-root", "{site: lungs}", "The presentation is not valid JSON"),
        ("inula-helenium-root", "[]", "A presentation is a JSON object"),
        ("inula-helenium-root", {"site": "lungs", "action": "expectorant"}, "The presentation has no 'pattern'."),
        ("inula-helenium-root", {**DRY, "site": "gills"}, "There is no body site 'gills'."),
        ("inula-helenium-root", {**DRY, "action": "purge"}, "There is no action 'purge'."),
        ("inula-helenium-root", {**DRY, "pattern": {"humour": {"degree": 1}}}, "Unknown axis 'humour'"),
        ("inula-helenium-root", {**DRY, "pattern": {"moisture": -2}}, "A pattern looks like"),
        ("inula-helenium-root", {**DRY, "pattern": {"moisture": {"degree": 9}}}, "A degree lies between -4 and +4."),
        ("inula-helenium-root", {**DRY, "pattern": {}}, "A pattern needs a degree other than 0"),
        ("inula-helenium-root", {**DRY, "constitution": {"moisture": 2}}, "A constitution leans -1, 0 or +1"),
        ("inula-helenium-root", json.dumps(DRY).replace("-2", "NaN"), "degree"),
        ("inula-helenium-root", {**DRY, "pattern": {"moisture": {"degree": -2, "follows": ["tone"]}}}, "axis"),
        ("inula-helenium-root", {**DRY, "constitution": "damp"}, "constitution"),
    ],
)
def test_what_cannot_be_explained_is_refused_with_a_sentence(part, wanted, sentence):
    assert sentence in cannot_explain(part, wanted)


@pytest.mark.parametrize("person", ["pregnancy", ["pregnant"], 5, ["pregnancy", 5]])
def test_a_person_that_cannot_be_read_is_refused_and_never_taken_for_safe(person):
    """A slip in a word for a person must not make an unsafe herb look safe."""
    assert "person" in cannot_explain("inula-helenium-root", {**DRY, "person": person}).lower()


def test_an_explanation_under_an_unknown_set_is_refused_with_a_sentence():
    assert "school-of-nowhere" in cannot_explain("inula-helenium-root", DRY, "--teaching-set", "school-of-nowhere")


def test_an_explanation_from_an_empty_database_is_refused_with_what_to_do(empty):
    assert cannot_explain("inula-helenium-root", DRY) == EMPTY


# generate_items


@pytest.fixture(scope="module")
def three(django_db_setup, django_db_blocker):
    with django_db_blocker.unblock():
        return items("--count", "3", "--seed", "40")


def test_items_have_the_published_shape(three, medica):
    for seed, printed in enumerate(three, 40):
        item = opened(printed)
        assert item["seed"] == seed and item["family"] == "best-fit"
        assert item["data_version"] == medica.catalogue.data_version
        assert item["engine_version"] == ENGINE_VERSION
        assert item["teaching_set"] == "contemporary-western"
        assert {"site", "action", "pattern", "findings", "constitution", "person"} <= set(item["presentation"])
        assert len(item["options"]) == 4
        assert len({option["part"] for option in item["options"]}) == 4
        for number, option in enumerate(item["options"]):
            assert {"part", "label", "latin", "verdict", "fit", "fault", "marks"} <= set(option)
            assert option["part"] in medica.rows
            assert option["verdict"] in VERDICTS
            assert (option["fault"] is None) == (number == item["key"])
            assert (option["verdict"] == "suits") == (number == item["key"])
            assert option["fit"]["low"] <= option["fit"]["high"]
        assert item["stem"].endswith("?") and 40 <= len(item["vignette"].split()) <= 90
        assert item["sources"] and all(
            source in medica.sources for sources in item["sources"].values() for source in sources
        )
        assert item["certificate"] and item["because"]


@pytest.mark.parametrize("number", range(3))
def test_an_item_is_the_same_alone_as_in_a_run(three, number):
    assert items("--count", "1", "--seed", str(40 + number)) == [three[number]]


def test_different_seeds_give_different_items(three):
    assert len({json.dumps(item["options"], sort_keys=True) for item in three}) == 3


def test_items_keep_to_the_action_and_site_asked():
    for item in items("--count", "2", "--seed", "5", "--action", "laxative", "--site", "bowel"):
        assert (item["presentation"]["action"], item["presentation"]["site"]) == ("laxative", "bowel")


def test_items_can_be_printed_as_text(three):
    text = run("generate_items", "--seed", "40", "--format", "text")
    assert three[0]["vignette"] in text and three[0]["stem"] in text
    assert f" * {three[0]['key'] + 1}. " in text


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("--family", "guess-the-herb"), "There is no item family 'guess-the-herb'. The families are:"),
        (("--teaching-set", "school-of-nowhere"), "There is no teaching set 'school-of-nowhere'. Known: "),
        (("--action", "purge"), "Nothing is asked about that action and site."),
        (("--action", "laxative", "--site", "lungs"), "Nothing is asked about that action and site."),
    ],
)
def test_items_that_cannot_be_made_are_refused_with_a_sentence(arguments, sentence):
    assert sentence in refused("generate_items", *arguments)


@pytest.mark.parametrize("arguments", [(), ("--teaching-set", "contemporary-western")])
def test_items_from_an_empty_database_are_refused_with_what_to_do(empty, arguments):
    assert refused("generate_items", *arguments) == EMPTY
