"""Workshops of a few parts with tastes, constituents and preparations, and items made from them without a database."""

from random import Random

from herbs.engine import (
    ActionTerm,
    PartNotes,
    PartRecord,
    PreparationNote,
    Site,
    SiteGraph,
    TeachingSet,
    compile_catalogue,
)
from lessons.engine import Constraints, Prover, Scenery, Workshop
from lessons.engine.families import family_of
from lessons.engine.packing import complete

EMPTY = Scenery((), (), (), {}, {}, {}, [])


def noted(*, tastes=None, degrees=None, constituents=(), preparations=(), marks=(), part="root"):
    """What is told of one part: (part, marks, notes). Preparations are (method, per cent of alcohol or None, ratio)."""
    made = tuple(PreparationNote(method, "", alcohol, ratio, "a-book") for method, alcohol, ratio in preparations)
    heard = dict.fromkeys((*(tastes or {}), *(degrees or {})), ("a-book",))
    return part, tuple(marks), PartNotes(tastes or {}, tuple(constituents), made, degrees or {}, heard)


def workshop(*, rules=(), **parts):
    """A workshop of named parts, as ``noted`` gives them, and rules of taste."""
    records = [
        PartRecord(name, f"{name} {part}", name, part, "tea", (), marks)
        for name, (part, marks, _) in sorted(parts.items())
    ]
    actions = {"act": ActionTerm("act", "act", "acts", is_class=True)}
    catalogue = compile_catalogue(
        records, TeachingSet("test", ()), SiteGraph([Site("place", "place", "system")]), actions, [], [], "test"
    )
    notes = {name: told for name, (_, _, told) in parts.items()}
    return Workshop(catalogue, EMPTY, Prover(catalogue), notes=notes, rules=tuple(rules))


def completed(family, draft):
    """An opened item from a draft."""
    recipe = {
        "family": family, "seed": 1, "constraints": {}, "teaching_set": "test", "teaching_set_revision": "1", "data_version": "1",
        "engine_version": "1",
    }  # fmt: skip
    same = {name: recipe[name] for name in ("family", "seed", "teaching_set", "data_version", "engine_version")}
    return complete(draft | same | {"recipe": recipe})


def drafted(family, made_in, wanted=lambda draft: True, seed=1):
    """The first item of an endless family that is wanted."""
    drafts = family_of(family).drafts(made_in, Constraints(), Random(seed))
    return completed(family, next(draft for draft in drafts if wanted(draft)))


def written(family, made_in, number=0, seed=1):
    """An item of a case of a finite family."""
    module = family_of(family)
    case = module.cases(made_in, Constraints())[number]
    return completed(family, module.write(made_in, case, Random(seed)))
