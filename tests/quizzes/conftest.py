"""Items of every family for the tests of what is said after an answer."""

import pytest

from lessons.engine import frozen, opened

SEEDS = range(2001, 2013)
MADE: dict[str, list] = {}


@pytest.fixture
def items(maker):
    """Items of a family, made once for all tests and read back from their stored form."""

    def of(family):
        if family not in MADE:
            MADE[family] = [opened(frozen(maker.make(family, seed))) for seed in SEEDS]
        return MADE[family]

    return of
