"""Loading: all or nothing, idempotent, and rewriting no more than what changed."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext

from herbs.catalogue import data_version, materia_medica
from herbs.loading import FaultsError, read_files
from herbs.models import Claim, Herb, Part, Release, Source, TeachingSet, Term
from herbs.services import load_materia_medica

from .folders import GALIUM, INULA, SHIPPED, replace, small_folder, stored

pytestmark = pytest.mark.django_db


@pytest.fixture
def folder(tmp_path):
    return small_folder(tmp_path)


def claims_of(slug):
    return list(Claim.objects.filter(part__herb__slug=slug).order_by("pk").values_list())


def test_the_shipped_data_load_whole():
    bundle = read_files(SHIPPED)
    assert Herb.objects.count() == len(bundle.herbs) == len(list((SHIPPED / "herbs").glob("*.yaml")))
    assert Part.objects.count() == sum(len(herb["parts"]) for herb in bundle.herbs)
    assert Claim.objects.count() == sum(len(part["claims"]) for herb in bundle.herbs for part in herb["parts"])
    assert Term.objects.count() == sum(map(len, bundle.terms.values()))
    assert set(Source.objects.values_list("slug", flat=True)) == {source["slug"] for source in bundle.sources}
    assert Release.objects.latest().counts == {
        "herbs": Herb.objects.count(), "parts": Part.objects.count(), "claims": Claim.objects.count(),
    }  # fmt: skip
    assert data_version() == bundle.data_version()


def test_loading_the_same_files_again_changes_nothing():
    before = stored()
    with CaptureQueriesContext(connection) as queries:
        loaded = load_materia_medica(folder=SHIPPED)
    assert not loaded.changed
    assert (loaded.written, loaded.removed) == (0, 0)
    assert loaded.data_version == data_version()
    assert len(queries) == 1
    assert stored() == before


def test_the_command_says_that_there_is_nothing_to_do():
    out = StringIO()
    call_command("load_materia_medica", str(SHIPPED), stdout=out)
    assert out.getvalue() == f"Nothing to do: data version {data_version()} is already loaded.\n"


def test_a_comment_changes_the_file_and_not_one_herb(folder):
    first = load_materia_medica(folder=folder)
    before = stored()
    replace(folder, INULA, "slug: inula-helenium", "# a remark\nslug: inula-helenium")
    loaded = load_materia_medica(folder=folder)
    assert (loaded.changed, loaded.written, loaded.removed) == (True, 0, 0)
    after = stored()
    for kept in ("Herb", "Part", "Claim", "Source", "Tradition", "TeachingSet", "TraditionRole"):
        assert after[kept] == before[kept], kept
    assert loaded.data_version == first.data_version


def test_editing_one_herb_rewrites_only_that_herb(folder):
    load_materia_medica(folder=folder)
    herbs, parts = dict(Herb.objects.values_list("slug", "pk")), dict(Part.objects.values_list("slug", "pk"))
    kept = {slug: claims_of(slug) for slug in ("galium-aparine", "althaea-officinalis")}
    version = data_version()
    replace(folder, INULA, "{degree: temperature, value: 2", "{degree: temperature, value: 1")
    loaded = load_materia_medica(folder=folder)
    assert (loaded.written, loaded.removed) == (1, 0)
    assert dict(Herb.objects.values_list("slug", "pk")) == herbs
    assert dict(Part.objects.values_list("slug", "pk")) == parts
    assert {slug: claims_of(slug) for slug in kept} == kept
    said = Claim.objects.get(part__slug="inula-helenium-root", subject="temperature", source__slug="common-practice")
    assert said.amount == 1
    assert data_version() == loaded.data_version != version
    catalogue = materia_medica().catalogue
    assert catalogue.value[catalogue.row_number("inula-helenium-root"), 0] == 1  # and the profiles follow at once


def test_going_back_gives_the_old_data_version_again(folder):
    first = load_materia_medica(folder=folder).data_version
    replace(folder, INULA, "strength: 3", "strength: 2")
    assert load_materia_medica(folder=folder).data_version != first
    replace(folder, INULA, "strength: 2", "strength: 3")
    again = load_materia_medica(folder=folder)
    assert again.changed and again.data_version == first == data_version()


def test_deleting_a_file_removes_the_herb_and_keeps_the_others(folder):
    load_materia_medica(folder=folder)
    kept = claims_of("inula-helenium")
    (folder / GALIUM).unlink()
    loaded = load_materia_medica(folder=folder)
    assert (loaded.written, loaded.removed) == (0, 1)
    assert set(Herb.objects.values_list("slug", flat=True)) == {"inula-helenium", "althaea-officinalis"}
    assert not Part.objects.filter(slug__startswith="galium").exists()
    assert claims_of("inula-helenium") == kept


def test_deleting_a_part_removes_it_and_its_claims(folder):
    load_materia_medica(folder=folder)
    path = folder / "herbs/althaea-officinalis.yaml"
    first, *_, last = path.read_text(encoding="utf-8").split("- part: ")
    path.write_text(f"{first}- part: {last}", encoding="utf-8")
    load_materia_medica(folder=folder)
    assert list(Part.objects.filter(herb__slug="althaea-officinalis").values_list("name", flat=True)) == ["leaf"]
    assert not Claim.objects.filter(part__slug="althaea-officinalis-root").exists()


def test_a_new_herb_is_written_and_nothing_else(folder):
    load_materia_medica(folder=folder)
    kept = claims_of("inula-helenium")
    text = (SHIPPED / "herbs/thymus-vulgaris.yaml").read_text(encoding="utf-8")
    (folder / "herbs/thymus-vulgaris.yaml").write_text(text, encoding="utf-8")
    loaded = load_materia_medica(folder=folder)
    assert (loaded.written, loaded.removed) == (1, 0)
    assert claims_of("inula-helenium") == kept


def test_a_vocabulary_change_reaches_the_store_and_leaves_the_herbs(folder):
    load_materia_medica(folder=folder)
    kept, version = stored()["Claim"], data_version()
    replace(folder, "vocabulary/sites.yaml", "name: airways", "name: the airways")
    load_materia_medica(folder=folder)
    assert Term.objects.get(kind="site", slug="respiratory").name == "the airways"
    assert stored()["Claim"] == kept
    assert data_version() != version


def test_a_changed_role_bumps_the_revision_of_its_teaching_set_alone(folder):
    load_materia_medica(folder=folder)
    before = materia_medica().teaching_set_name, Release.objects.count()
    revision = dict(stored_sets())
    replace(
        folder, "teaching_sets.yaml", "{tradition: regulatory, role: widens}", "{tradition: regulatory, role: shown}"
    )
    load_materia_medica(folder=folder)
    assert dict(stored_sets()) == {slug: number + (slug == "contemporary-western") for slug, number in revision.items()}
    assert materia_medica().teaching_set_name == before[0]


def stored_sets():
    return TeachingSet.objects.values_list("slug", "revision")


def test_check_changes_nothing_and_says_so(folder):
    before, out = stored(), StringIO()
    call_command("load_materia_medica", str(folder), "--check", stdout=out)
    assert out.getvalue() == "No faults: 3 herbs, 4 parts. Nothing was changed.\n"
    assert stored() == before


@pytest.mark.parametrize("arguments", [[], ["--check"]])
def test_a_fault_is_listed_and_changes_nothing(folder, arguments):
    before = stored()
    replace(folder, GALIUM, "value: -2", "value: -5")
    line = replace(folder, INULA, "{taste: bitter", "{taste: bitterish")
    with pytest.raises(CommandError) as refused:
        call_command("load_materia_medica", str(folder), *arguments)
    first, one, two = str(refused.value).splitlines()
    assert first == "2 faults; nothing was changed."
    assert one.startswith(f"  {GALIUM}:") and "-5" in one
    assert two == f"  {INULA}:{line}: Unknown taste 'bitterish'."
    assert stored() == before


def test_a_failure_while_storing_changes_nothing(folder, monkeypatch):
    before = stored()

    def fail(*args, **kwargs):
        raise RuntimeError("the disk is full")

    monkeypatch.setattr("herbs.services._store_teaching_sets", fail)
    with pytest.raises(RuntimeError):
        load_materia_medica(folder=folder)
    assert stored() == before


def test_progress_is_told_herb_by_herb(folder):
    told = []
    load_materia_medica(folder=folder, tell=lambda done, of: told.append((done, of)))
    assert told == [(1, 3), (2, 3), (3, 3)]


def test_a_folder_that_does_not_exist_is_a_fault(tmp_path):
    before = stored()
    with pytest.raises(FaultsError, match="There is no such folder"):
        load_materia_medica(folder=tmp_path / "nowhere")
    assert stored() == before
