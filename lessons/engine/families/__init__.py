"""Item families, each one module, registered here."""

from collections.abc import Callable
from types import ModuleType
from typing import Any

from lessons.engine.errors import UnknownFamilyError

from . import best_fit

FAMILIES: dict[str, ModuleType] = {best_fit.NAME: best_fit}
Generator = Callable[..., dict[str, Any]]


def generator(family: str) -> Generator:
    """The generate function of a family; UnknownFamilyError names the ones there are."""
    if family not in FAMILIES:
        raise UnknownFamilyError(
            f"There is no item family {family!r}. The families are: {', '.join(sorted(FAMILIES))}."
        )
    found: Generator = FAMILIES[family].generate
    return found
