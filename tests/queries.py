"""Assertions about the number of database queries."""

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext


def told(captured: CaptureQueriesContext) -> str:
    """The captured queries, numbered, one a line."""
    return "\n".join(f"{number:>3}. {query['sql']}" for number, query in enumerate(captured, 1))


@contextmanager
def assert_query_count(expected: int) -> Iterator[CaptureQueriesContext]:
    """Fail, listing the queries, unless the block makes exactly ``expected`` of them."""
    with CaptureQueriesContext(connection) as captured:
        yield captured
    if len(captured) != expected:
        pytest.fail(f"{len(captured)} queries, expected {expected}:\n{told(captured)}", pytrace=False)
