"""A school's own working value, with its reason, decides over every source."""

import pytest

from herbs import catalogue
from herbs.catalogue import materia_medica
from herbs.loading import FaultsError
from herbs.models import Override, TeachingSet
from herbs.services import load_materia_medica

from .folders import replace, small_folder

SETS = "teaching_sets.yaml"
OWN = 'overrides: [{row: inula-helenium-root, axis: temperature, value: -1, reason: "as this school teaches it"}]'
pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def nothing_compiled():
    """A test's rows are rolled back, and its revisions come again with other overrides: compiled sets must not outlive it."""
    catalogue._compiled.cache_clear()
    yield
    catalogue._compiled.cache_clear()


@pytest.fixture
def folder(tmp_path):
    return small_folder(tmp_path)


def with_override(folder, text=OWN):
    replace(folder, SETS, "  is_default: true\n", f"  is_default: true\n  {text}\n")
    return load_materia_medica(folder=folder)


def temperature():
    """Working value and interval of elecampane root on temperature under the default set."""
    profiles = materia_medica().catalogue
    row = profiles.row_number("inula-helenium-root")
    return [float(array[row, 0]) for array in (profiles.value, profiles.low, profiles.high)]


def test_an_override_decides_and_the_sources_still_span_the_interval(folder):
    load_materia_medica(folder=folder)
    assert temperature()[0] > 0
    before = TeachingSet.objects.get(is_default=True).revision
    with_override(folder)
    value, low, high = temperature()
    assert value == low == -1 and high > 0
    assert TeachingSet.objects.get(is_default=True).revision > before
    assert Override.objects.get().reason == "as this school teaches it"


def test_taking_an_override_out_gives_the_sources_their_say_again(folder):
    with_override(folder)
    replace(folder, SETS, f"  {OWN}\n", "")
    load_materia_medica(folder=folder)
    assert not Override.objects.exists()
    assert temperature()[0] > 0


@pytest.mark.parametrize(("old", "new"), [("value: -1", "value: -5"), ("axis: temperature", "axis: heat"),
                                          ('reason: "as this school teaches it"', 'reason: " "')])  # fmt: skip
def test_an_override_that_makes_no_sense_is_a_fault_with_its_line(folder, old, new):
    with pytest.raises(FaultsError, match=SETS):
        with_override(folder, OWN.replace(old, new))
    assert not Override.objects.exists()
