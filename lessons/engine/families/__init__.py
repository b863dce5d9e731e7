"""Item families, each one module, registered here.

A family has NAME, TITLE (plain words), RESPONSE (choose, rank, match, place or lean), FINITE and PANEL; ``drafts(workshop,
constraints, rng)``, or for a finite one ``cases(workshop, constraints)`` and ``write(workshop, case, rng)``; ``recheck(item)``
and ``say(item, code, number)``.
"""

from collections.abc import Mapping, Sequence
from types import ModuleType

from lessons.engine.errors import UnknownFamilyError

from . import (
    best_fit,
    caution,
    kinds,
    name_the_state,
    new_finding,
    order_by_fit,
    place_on_the_plane,
    point_of_difference,
    preparation,
    taste_to_effect,
    what_would_have_to_change,
    would_aggravate,
)

MODULES: Sequence[ModuleType] = (
    best_fit,
    would_aggravate,
    point_of_difference,
    kinds,
    order_by_fit,
    place_on_the_plane,
    name_the_state,
    what_would_have_to_change,
    taste_to_effect,
    caution,
    preparation,
    new_finding,
)
FAMILIES: Mapping[str, ModuleType] = {module.NAME: module for module in MODULES}


def family_of(name: str) -> ModuleType:
    """The module of a family; UnknownFamilyError names the ones there are."""
    if name not in FAMILIES:
        raise UnknownFamilyError(f"There is no item family {name!r}. The families are: {', '.join(FAMILIES)}.")
    return FAMILIES[name]
