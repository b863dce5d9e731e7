"""What an independent reader finds wrong with an opened item of any family."""

from collections.abc import Callable, Iterator
from pathlib import Path

from tests.oracle.bench import TOLERANCE, Bench, Item, differ
from tests.oracle.families import (
    best_fit,
    caution,
    changes,
    kinds,
    name_the_state,
    new_finding,
    order_by_fit,
    place_on_the_plane,
    point_of_difference,
    preparation,
    taste_to_effect,
    would_aggravate,
)
from tests.oracle.families.best_fit import FAULTS
from tests.oracle.herbs import certificate_faults
from tests.oracle.reasons import reason_faults
from tests.oracle.shape import RESPONSES, because_faults, recipe_faults, shape_faults, source_faults

__all__ = ["FAMILIES", "FAULTS", "TOLERANCE", "Oracle", "differ"]

FAMILIES: dict[str, Callable[[Item, Bench], Iterator[str]]] = {
    "best-fit": best_fit.judge,
    "would-aggravate": would_aggravate.judge,
    "point-of-difference": point_of_difference.judge,
    "kinds": kinds.judge,
    "order-by-fit": order_by_fit.judge,
    "place-on-the-plane": place_on_the_plane.judge,
    "name-the-state": name_the_state.judge,
    "what-would-have-to-change": changes.judge,
    "taste-to-effect": taste_to_effect.judge,
    "caution": caution.judge,
    "preparation": preparation.judge,
    "new-finding": new_finding.judge,
}


class Oracle:
    """The data files, read once for each teaching set; judges items one by one."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.bench = Bench(folder)
        self.benches = {self.bench.words.teaching_set: self.bench}
        self.words, self.rows = self.bench.words, self.bench.rows

    def bench_for(self, teaching_set: str) -> Bench | None:
        """The bench under a shipped teaching set; nothing for a set that is not shipped."""
        if teaching_set in self.words.teaching_sets and teaching_set not in self.benches:
            self.benches[teaching_set] = Bench(self.folder, teaching_set)
        return self.benches.get(teaching_set)

    def objections(self, item: Item) -> list[str]:
        """Everything wrong with an item, each as "topic: what"; empty when nothing is."""
        family, judged_under = item.get("family"), item.get("teaching_set")
        if family not in RESPONSES or family not in FAMILIES:
            return [f"shape: {family!r} is no known family"]
        bench = self.bench_for(str(judged_under))
        if bench is None:
            return [f"shape: {judged_under!r} is no known teaching set"]
        shape = list(shape_faults(item, bench))
        if shape:
            return shape
        return [
            *recipe_faults(item, bench),
            *certificate_faults(item, bench),
            *because_faults(item),
            *source_faults(item, bench),
            *reason_faults(item, bench),
            *FAMILIES[family](item, bench),
        ]
