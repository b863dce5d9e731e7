"""The shipped files and what the application writes are the same bytes."""

from pathlib import Path

import pytest
from django.conf import settings

from herbs.editing import document_of, read_herb
from herbs.loading.writing import herb_yaml
from herbs.models import Herb

pytestmark = pytest.mark.django_db
FILES = sorted(Path(settings.MATERIA_MEDICA_DIR, "herbs").glob("*.yaml"))


def test_there_are_files_and_every_one_is_stored():
    assert len(FILES) > 100
    assert {path.stem for path in FILES} == set(Herb.objects.values_list("slug", flat=True))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_stored_herb_is_written_as_its_file_to_the_byte(path):
    herb = Herb.objects.for_monograph().get(slug=path.stem)
    assert document_of(herb).encode() == path.read_bytes()


def test_what_is_written_reads_back_as_the_same_record():
    for herb in Herb.objects.for_monograph():
        record = read_herb(document_of(herb))
        assert record["digest"] == herb.digest and herb_yaml(record) == document_of(herb), herb.slug
