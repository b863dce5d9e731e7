"""Values of the wrong shape, and vocabulary that no page could use, are faults with a line, never a crash or a silence."""

import re

import pytest

from herbs.loading import FaultsError, read_files
from herbs.services import load_materia_medica

from .folders import GALIUM, INULA, replace, small_folder, stored

STATES, SETS = "vocabulary/states.yaml", "teaching_sets.yaml"
FOLLOWS = "follows: {temperature: moisture}"


@pytest.fixture
def folder(tmp_path):
    return small_folder(tmp_path)


ODD_SHAPES = {
    "a list for a source": (INULA, "source: common-practice", "source: [common-practice]"),
    "a mapping for a source": (INULA, "source: common-practice", "source: {said: by}"),
    "a list for a habit": (INULA, "habit: daisy", "habit: [daisy]"),
    "a list for a usual form": (INULA, "usual_form: decoction", "usual_form: [decoction]"),
    "a list for an action": (INULA, "{action: expectorant", "{action: [expectorant]"),
    "a list for an axis": (INULA, "{degree: temperature", "{degree: [temperature]"),
    "a list for a person word": (INULA, "{caution: pregnancy", "{caution: [pregnancy]"),
    "a list for a level": (INULA, "level: avoid", "level: [avoid]"),
    "a number for a name": (INULA, 'names: ["elecampane"', "names: [5"),
    "a word for opposed actions": ("vocabulary/actions.yaml", "opposed: [antitussive]", "opposed: 5"),
    "a list for a root": (STATES, FOLLOWS, "follows: [temperature]"),
    "a word for a role": (SETS, "- {tradition: contemporary-western, role: decides}", "- contemporary-western"),
    "a list for the site of a rule": ("vocabulary/derived_actions.yaml", "site: respiratory", "site: [respiratory]"),
    "a word for a year": ("vocabulary/sources.yaml", "year: 1869", "year: old"),
}


@pytest.mark.parametrize("kind", ODD_SHAPES)
def test_a_value_of_the_wrong_shape_is_a_fault(folder, kind):
    file, old, new = ODD_SHAPES[kind]
    replace(folder, file, old, new)
    with pytest.raises(FaultsError) as refused:
        read_files(folder)
    assert {fault.path for fault in refused.value.faults} == {file}


@pytest.mark.parametrize("content", ["- {slug: sweet, name: sweet}\n", "sweet\n"])
def test_the_plain_lists_must_be_lists_by_name(folder, content):
    (folder / "vocabulary/plain.yaml").write_text(content, encoding="utf-8")
    with pytest.raises(FaultsError, match=r"plain\.yaml"):
        read_files(folder)


NO_PATTERN = {
    "a circle of roots": (STATES, FOLLOWS, "follows: {temperature: moisture, moisture: temperature}"),
    "a root without a degree": (STATES, FOLLOWS, "follows: {temperature: tone}"),
    "no degree at all": (STATES, "pattern: {moisture: -2}}", "pattern: {moisture: 0}}"),
    "an axis that follows itself": ("vocabulary/mixed_patterns.yaml", FOLLOWS, "follows: {temperature: temperature}"),
}


@pytest.mark.parametrize("kind", NO_PATTERN)
def test_a_state_that_is_no_pattern_is_a_fault(folder, kind):
    file, old, new = NO_PATTERN[kind]
    replace(folder, file, old, new)
    with pytest.raises(FaultsError, match=file):
        read_files(folder)


INCOMPLETE_SETS = {
    "no name": "- {slug: school, is_default: true, roles: [{tradition: eclectic, role: decides}]}\n",
    "no roles": "- {slug: school, name: School, is_default: true}\n",
    "the same tradition twice": (
        "- {slug: school, name: School, is_default: true, "
        "roles: [{tradition: eclectic, role: decides}, {tradition: eclectic, role: widens}]}\n"
    ),
}


@pytest.mark.django_db
@pytest.mark.parametrize("kind", INCOMPLETE_SETS)
def test_an_incomplete_teaching_set_is_a_fault_and_changes_nothing(folder, kind):
    before = stored()
    (folder / SETS).write_text(INCOMPLETE_SETS[kind], encoding="utf-8")
    with pytest.raises(FaultsError, match=SETS):
        load_materia_medica(folder=folder)
    assert stored() == before


def test_an_asking_without_complaints_is_a_fault(folder):
    path = folder / "vocabulary/askings.yaml"
    path.write_text(re.sub(r"complaints: \[.*?\], ", "", path.read_text(encoding="utf-8"), count=1), encoding="utf-8")
    with pytest.raises(FaultsError, match=r"askings\.yaml"):
        read_files(folder)


def test_an_asking_that_holds_back_a_part_that_is_not_there_is_a_fault(folder):
    slug = "slug: expectorant-respiratory,"
    disputed = f"{slug} not_offered: [{{part: weed-root, axis: tone, sign: 1}}],"
    line = replace(folder, "vocabulary/askings.yaml", slug, disputed)
    with pytest.raises(FaultsError) as refused:
        read_files(folder)
    assert [(fault.path, fault.line) for fault in refused.value.faults] == [("vocabulary/askings.yaml", line)]
    assert "'weed-root'" in refused.value.faults[0].message


@pytest.mark.parametrize("name", ["galium-aparine.yml", "galium-aparine.YAML"])
def test_a_herb_under_another_ending_is_never_silently_left_out(folder, name):
    (folder / GALIUM).rename(folder / "herbs" / name)
    with pytest.raises(FaultsError, match="galium-aparine"):
        read_files(folder)
