"""Every family keeps the contract; what is special to one stands beside it."""

import pytest

from lessons.engine import FAMILIES
from tests.lessons.families.base import FamilyContract

pytestmark = pytest.mark.django_db


class TestBestFit(FamilyContract):
    name = "best-fit"


class TestWouldAggravate(FamilyContract):
    name = "would-aggravate"


class TestPointOfDifference(FamilyContract):
    name, has_case, about_qualities = "point-of-difference", False, True


class TestKinds(FamilyContract):
    name, has_case, about_qualities = "kinds", False, True


class TestOrderByFit(FamilyContract):
    name = "order-by-fit"


class TestPlaceOnThePlane(FamilyContract):
    name, has_case, about_qualities = "place-on-the-plane", False, True


class TestNameTheState(FamilyContract):
    name = "name-the-state"


class TestWhatWouldHaveToChange(FamilyContract):
    name = "what-would-have-to-change"


class TestTasteToEffect(FamilyContract):
    name, has_case = "taste-to-effect", False


class TestCaution(FamilyContract):
    name = "caution"


class TestPreparation(FamilyContract):
    name, has_class, has_case = "preparation", False, False


class TestNewFinding(FamilyContract):
    name = "new-finding"


def test_every_family_inherits_the_contract():
    assert {contract.name for contract in FamilyContract.__subclasses__()} == set(FAMILIES)
    assert len(FAMILIES) == 12
