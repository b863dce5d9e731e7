"""How fast forms are assembled, from a synthetic item bank and random drill plans that are known to be feasible or not."""

import time
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from random import Random

import numpy as np

from lessons.engine.forms import MET, InfeasiblePlanError, assemble, unmet
from lessons.engine.item_bank import Candidate
from lessons.engine.plan_conflicts import NoConflictError, explain
from lessons.engine.plans import COUNTED, Band, Demand, DrillPlan

FAMILIES = (
    "best-fit", "would-aggravate", "point-of-difference", "kinds", "order-by-fit", "place-on-the-plane", "name-the-state",
    "what-would-have-to-change", "taste-to-effect", "caution",
)  # fmt: skip
WITHOUT_KEY = {"kinds", "order-by-fit", "place-on-the-plane", "name-the-state"}
CLASSES = 24
SYSTEMS = 9
SITES = 27
STATES = 20
HERBS = 260
POOL = 26  # herbs of one class
FAULTS = tuple(f"fault-{number}" for number in range(12))
SKELETONS = 3  # for each family, class, site and state


LIMIT = 5.0  # seconds for one form, at the 95th percentile


@dataclass(frozen=True)
class Figures:
    """What was measured. Seconds are of a processor, at the median and the 95th percentile.

    Of ``plans`` feasible plans: how many were ``met`` exactly, and how many forms were ``proved`` near the least cost in time.
    Of ``spoilt`` infeasible ones: how many were ``explained``, with a set proved ``irreducible``, with a nearest plan that a
    form then met.
    """

    candidates: int
    plans: int
    met: int
    proved: int
    p50: float
    p95: float
    spoilt: int
    explained: int
    irreducible: int
    nearest_met: int
    explain_p50: float
    explain_p95: float


def run(candidates: int = 20_000, length: int = 40, plans: int = 200, spoilt: int = 50, seed: int = 1) -> Figures:
    """Assemble a form for each of ``plans`` random plans; explain ``spoilt`` random plans that cannot be met.

    A spoilt plan that turns out to be feasible is drawn anew. Seconds are of this process alone, so that other work on the
    machine does not count.
    """
    items = synthetic(candidates, Random(seed))
    by_code = {item.code: item for item in items}
    met, proved, spent = 0, 0, []
    for number in range(plans):
        plan = feasible_plan(items, length, Random(f"{seed}/{number}"))
        start = time.process_time()
        form = assemble(plan, items, seed=number)
        spent.append(time.process_time() - start)
        met += not unmet(plan, [by_code[code] for code in form.codes])
        proved += form.status == MET
    explained = irreducible = nearest_met = number = drawn = 0
    explaining = []
    while drawn < spoilt:
        number += 1
        plan, _ = infeasible_plan(items, length, Random(f"{seed}/spoilt/{number}"))
        try:
            assemble(plan, items, seed=number)
            continue
        except InfeasiblePlanError:
            drawn += 1
        start = time.process_time()
        try:
            conflict = explain(plan, items)
        except NoConflictError:
            continue
        finally:
            explaining.append(time.process_time() - start)
        explained += bool(conflict.sentences)
        irreducible += conflict.proved
        if conflict.nearest is not None:
            nearest_met += not assemble(conflict.nearest, items, seed=number).unmet
    p50, p95 = np.percentile(spent, [50, 95])
    e50, e95 = np.percentile(explaining, [50, 95])
    return Figures(
        candidates,
        plans,
        met,
        proved,
        float(p50),
        float(p95),
        drawn,
        explained,
        irreducible,
        nearest_met,
        float(e50),
        float(e95),
    )


def synthetic(count: int, rng: Random) -> list[Candidate]:
    """``count`` invented items, classes and sites unevenly common; no herb, site or state of them is a real one."""
    pools = [rng.sample(range(HERBS), POOL) for _ in range(CLASSES)]
    sites = [rng.sample(range(SITES), 5) for _ in range(CLASSES)]
    items = []
    for number in range(count):
        family = rng.choice(FAMILIES)
        action = min(int(rng.expovariate(1 / 9)), CLASSES - 1)
        site, state = rng.choice(sites[action]), rng.randrange(STATES)
        shown = rng.sample(pools[action], 4)
        keyed = family not in WITHOUT_KEY
        items.append(
            Candidate(
                code=f"item-{number:06}", family=family, action=f"class-{action}", site=f"site-{site}",
                system=f"system-{site % SYSTEMS}", state=f"state-{state}",
                faults=tuple(sorted(rng.sample(FAULTS, 3))), difficulty=max(-4000, min(4000, round(rng.gauss(0, 1000)))),
                key=f"herb-{shown[0]}" if keyed else "", herbs=frozenset(f"herb-{herb}" for herb in shown),
                skeleton=f"{family}/{action}/{site}/{state}/{rng.randrange(SKELETONS)}",
                key_position=rng.randrange(4) if keyed else None, exposure=int(rng.expovariate(1 / 3)),
            )
        )  # fmt: skip
    return items


def hidden_form(items: Sequence[Candidate], length: int, rng: Random) -> list[Candidate]:
    """A random form of a few classes that keeps the standing rules: skeletons differ, key positions are even."""
    classes = rng.sample(
        sorted({item.action for item in items}), min(rng.randint(4, 8), len({i.action for i in items}))
    )
    pool = [item for item in items if item.action in classes]
    rng.shuffle(pool)
    chosen: list[Candidate] = []
    skeletons: set[str] = set()
    for item in pool:
        if item.skeleton in skeletons:
            continue
        places = Counter(c.key_position for c in chosen if c.key_position is not None)
        if item.key_position is not None and places[item.key_position] > min(places[place] for place in range(4)):
            continue
        chosen.append(item)
        skeletons.add(item.skeleton)
        if len(chosen) == length:
            return chosen
    raise ValueError("The bank is too small for a form of this length.")


def feasible_plan(items: Sequence[Candidate], length: int, rng: Random) -> DrillPlan:
    """A random plan that a hidden form meets: some of its counts exactly, some loosely, limits on herbs, a mean."""
    form = hidden_form(items, length, rng)
    demands = []
    for kind in COUNTED:
        counts = Counter(value for item in form for value in item.values(kind))
        for value in rng.sample(sorted(counts), min(len(counts), rng.randint(0, 4))):
            least, most = counts[value], counts[value]
            looser = rng.choice(("exact", "least", "most", "between"))
            least = 0 if looser == "most" else max(0, least - (looser == "between"))
            demands.append(Demand(kind, value, least, None if looser == "least" else most + (looser == "between")))
    middle = sum(item.difficulty < 0 for item in form)
    bands = (Band(None, 0, max(0, middle - 1), middle + 1),) if rng.random() < 0.5 else ()
    mean = round(sum(item.difficulty for item in form) / length)
    shown = frozenset(herb for item in items if item.action in {c.action for c in form} for herb in item.herbs)
    return DrillPlan(
        "A random plan", length, shown if rng.random() < 0.5 else None, tuple(demands), bands,
        _most(item.key for item in form) if rng.random() < 0.5 else None,
        _most(herb for item in form for herb in item.herbs) if rng.random() < 0.5 else None,
        *((mean - 50, mean + 50) if rng.random() < 0.5 else (None, None)),
    )  # fmt: skip


def _most(names: Iterable[str]) -> int:
    """The count of the commonest name, blanks left out; at least 1."""
    return max(Counter(name for name in names if name).values(), default=1)


def infeasible_plan(items: Sequence[Candidate], length: int, rng: Random) -> tuple[DrillPlan, str]:
    """A random plan that no form meets, and how it was spoilt: a feasible one with one thing more asked than can be had."""
    plan = feasible_plan(items, length, rng)
    way = rng.choice(("supply", "keys", "sum", "faults", "mean", "herbs"))
    action = rng.choice(sorted({item.action for item in items}))
    of_class = [item for item in items if item.action == action]
    others = tuple(demand for demand in plan.demands if demand.kind != "classes")
    if way == "supply":
        absent = Demand("states", "state-absent", rng.randint(1, 3))
        return replace(plan, demands=(*plan.demands, absent)), way
    if way == "keys":
        keys = {item.key for item in of_class} - {""}
        families = tuple(Demand("families", family, 0, 0) for family in sorted(WITHOUT_KEY))
        wanted = Demand("classes", action, min(length, len(keys) + rng.randint(1, 4)))
        return replace(plan, demands=(*families, wanted), bands=(), key_at_most=1, scope=None), way
    if way == "sum":
        counts = Counter(item.action for item in items).most_common(3)
        split = tuple(Demand("classes", name, length // 3 + 1) for name, _ in counts)
        return replace(plan, demands=(*others, *split)), way
    if way == "faults":
        fault = rng.choice(FAULTS)
        spoilt = (Demand("faults", fault, length // 2 + 1), Demand("states", "state-0", length // 2))
        barred = tuple(Demand("faults", other, 0, 0) for other in FAULTS if other != fault)[: len(FAULTS) - 3]
        return replace(plan, demands=(*spoilt, *barred), scope=None), way
    if way == "mean":
        return replace(
            plan, bands=(Band(None, -500, length // 2), Band(None, 0, length)), mean_low=0, mean_high=None
        ), way
    return replace(plan, demands=(Demand("classes", action, length),), herb_at_most=max(1, 4 * length // POOL - 1)), way
