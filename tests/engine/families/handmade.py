"""Small workshops of parts made by hand, and the items that finite families make of them."""

from collections.abc import Mapping, Sequence
from random import Random
from typing import Any

from herbs.engine import (
    AXES,
    ActionTerm,
    PartNotes,
    PartRecord,
    Site,
    SiteGraph,
    Statement,
    TasteRule,
    TeachingSet,
    capital,
    compile_catalogue,
)
from lessons.engine import Constraints, Item, Prover, Scenery, Workshop
from lessons.engine.families import family_of
from lessons.engine.making import recipe_of
from lessons.engine.packing import complete

FIRST, SECOND = "first", "second"  # the source that decides and the one that widens
PLACE, CLASS, OTHER_CLASS = "chest", "raiser", "soother"
TRIES = 50  # at the wording of one case


def part(
    slug: str, *degrees: Any, strength: float = 2, latin: str | None = None, marks: Sequence[str] = ()
) -> PartRecord:
    """A root with its degrees in the order of the axes: a figure, two figures where a second source differs, or None
    where nobody speaks; and the strength (0..3) of its one action. Axes left out are temperate."""
    said = []
    for axis, degree in zip(AXES, (*degrees, *[0] * (len(AXES) - len(degrees))), strict=True):
        figures = () if degree is None else degree if isinstance(degree, tuple) else (degree,)
        said += [
            Statement("degree", axis, float(figure), source)
            for figure, source in zip(figures, (FIRST, SECOND), strict=False)
        ]
    said += [Statement("affinity", PLACE, 3.0, FIRST), Statement("action", CLASS, float(strength), FIRST)]
    return PartRecord(slug, f"{slug} root", latin or capital(slug), "root", "tea", tuple(said), tuple(marks))


def workshop(
    *parts: PartRecord, notes: Mapping[str, PartNotes] | None = None, rules: Sequence[TasteRule] = ()
) -> Workshop:
    """A workshop of some parts: one place, one class they are of and one they are not, and no scenery."""
    graph = SiteGraph([Site(PLACE, PLACE, "system")])
    actions = {name: ActionTerm(name, name, f"{name}s", is_class=True) for name in (CLASS, OTHER_CLASS)}
    teaching_set = TeachingSet("test", ((FIRST, "decides"), (SECOND, "widens")))
    catalogue = compile_catalogue(parts, teaching_set, graph, actions, [], [], "test")
    scenery = Scenery((), (), (), {}, {}, {}, [])
    tastes = {rule.subject: {"name": rule.subject} for rule in rules}
    return Workshop(
        catalogue, scenery, Prover(catalogue), {made.slug: made for made in parts}, (FIRST, SECOND), notes or {},
        tuple(rules), {"taste": tastes},
    )  # fmt: skip


def item(family: str, made_in: Workshop, case: Any, seed: int = 0) -> Item:
    """The item that a finite family writes about a case."""
    module = family_of(family)
    rng = Random(seed)
    draft = next(draft for _ in range(TRIES) if (draft := module.write(made_in, case, rng)) is not None)
    recipe = recipe_of(made_in, family, seed, Constraints())
    same = {name: recipe[name] for name in ("family", "seed", "teaching_set", "data_version", "engine_version")}
    return complete(draft | same | {"recipe": recipe})
