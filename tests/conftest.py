"""Fixtures shared by all tests: the shipped materia medica is loaded once for the session."""

from pathlib import Path

import pytest
from django.conf import settings

from herbs.catalogue import MateriaMedica, materia_medica
from herbs.services import load_materia_medica
from lessons.bank import QuestionMaker, question_maker


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup, django_db_blocker):
    """Load the shipped data into the test database, outside any test's transaction."""
    with django_db_blocker.unblock():
        load_materia_medica(folder=Path(settings.MATERIA_MEDICA_DIR))


@pytest.fixture
def medica(db) -> MateriaMedica:
    """The shipped materia medica under the default teaching set."""
    return materia_medica()


@pytest.fixture
def maker(db) -> QuestionMaker:
    """A question maker over the shipped data."""
    return question_maker()


@pytest.fixture(autouse=True)
def fast_passwords(settings):
    """Hash passwords quickly: tests sign in often."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
