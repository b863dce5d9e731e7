"""One item for a recipe: drafts of a family, completed and audited, the first clean one."""

import json
from collections.abc import Iterator, Sequence
from random import Random
from typing import Any

from herbs.engine import ENGINE_VERSION
from herbs.engine.axes import PARTLY_FIT, SUITS_ENERGETIC, SUITS_FIT

from .audit import audit
from .constraints import Constraints
from .errors import NoValidItemError
from .families import family_of
from .packing import LARGEST, Item, complete, frozen
from .proof import SLACK
from .workshop import Workshop

ROUNDS = 3  # drafts of an endless family are drawn anew so often
THRESHOLDS = (("fit", SUITS_FIT), ("fit", PARTLY_FIT), ("energetic", SUITS_ENERGETIC))
MANY_WORDS = 30  # person words of cautions in one certificate, from which on the size is counted
WORDINGS = 8  # tries at the writing of one case of a finite family
NOTHING = "No question with a provable answer was found. Choose a wider class, or add herbs that differ in kind."


def recipe_of(workshop: Workshop, family: str, seed: int, constraints: Constraints) -> dict[str, Any]:
    """Everything an item follows from: made again from the same recipe, it is the same item."""
    catalogue = workshop.catalogue
    return {
        "family": family,
        "seed": seed,
        "constraints": constraints.as_mapping(),
        "teaching_set": catalogue.teaching_set,
        "teaching_set_revision": catalogue.teaching_set_revision,
        "data_version": catalogue.data_version,
        "engine_version": ENGINE_VERSION,
    }


def cases_of(workshop: Workshop, family: str, constraints: Constraints | None = None) -> Sequence[Any]:
    """Every case of a finite family within the constraints, in the order seeds run through them; none for an endless one."""
    module = family_of(family)
    if not module.FINITE:
        return ()
    constraints = constraints or Constraints()
    key = ("cases", family, constraints)
    if key not in workshop.kept:
        found = list(module.cases(workshop, constraints))
        # Mixed once and for all, so that neighbouring seeds are not about neighbours in the alphabet.
        Random(f"{family} {workshop.catalogue.data_version}").shuffle(found)
        workshop.kept[key] = found
    cases: Sequence[Any] = workshop.kept[key]
    return cases


def make(workshop: Workshop, family: str, *, seed: int, constraints: Constraints | None = None) -> Item:
    """One item; the same seed, data and engine give the same item. NoValidItemError when none can be proved."""
    constraints = constraints or Constraints()
    recipe = recipe_of(workshop, family, seed, constraints)
    rng = Random(json.dumps(recipe, sort_keys=True))
    same = {name: recipe[name] for name in ("family", "seed", "teaching_set", "data_version", "engine_version")}
    for draft in _drafts(workshop, family, seed, constraints, rng):
        shown = [row["part"] for row in draft["certificate"]["rows"]]
        known = {"known": [round(100 * workshop.known_of.get(part, 0.0)) for part in shown]} if shown else {}
        item = complete(draft | same | known | {"recipe": recipe})
        if not audit(item) and not on_a_threshold(item) and fits(item):
            return item
    raise NoValidItemError(NOTHING)


def on_a_threshold(item: Item) -> bool:
    """Whether the working verdict of some option rests on a figure too close to a threshold to be told twice alike."""
    return any(
        abs(option["parts"][name] - threshold) < SLACK
        for option in item["options"]
        if "parts" in option
        for name, threshold in THRESHOLDS
    )


def fits(item: Item) -> bool:
    """Whether the frozen form is small enough; counted only for items that could be too large."""
    words = sum(len(row.get("unsafe", ())) for row in item["certificate"]["rows"])
    if words < MANY_WORDS:
        return True
    return len(json.dumps(frozen(item), ensure_ascii=False, separators=(",", ":")).encode()) <= LARGEST


def _drafts(
    workshop: Workshop, family: str, seed: int, constraints: Constraints, rng: Random
) -> Iterator[dict[str, Any]]:
    module = family_of(family)
    if not module.FINITE:
        # However long a run of bad luck, a class that has few questions, or the lack of any limit, gets another chance.
        for _ in range(ROUNDS):
            yield from module.drafts(workshop, constraints, rng)
        return
    cases = cases_of(workshop, family, constraints)
    # A case that cannot be written cleanly gives way to the next one.
    for step in range(len(cases)):
        for _ in range(WORDINGS):
            draft = module.write(workshop, cases[(seed + step) % len(cases)], rng)
            if draft is not None:
                yield draft
