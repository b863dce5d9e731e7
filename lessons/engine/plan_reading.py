"""Drill plans from and to plain mappings, as YAML holds them; every fault is told at once."""

from collections.abc import Collection, Iterator, Mapping
from typing import Any

from .plans import COUNTED, LOGIT, MOST_ITEMS, Band, Demand, DrillPlan, describe_band

FIELDS = ("title", "length", "scope", "demands", "difficulty", "key_at_most", "herb_at_most")
ALL = "all"
MAX_TITLE = 120


class InvalidPlanError(Exception):
    """A mapping is no drill plan; ``problems`` holds a sentence for each fault."""

    def __init__(self, problems: Collection[str]) -> None:
        super().__init__(" ".join(problems))
        self.problems = tuple(problems)


def plan_from_mapping(data: object, known: Mapping[str, Collection[str]] | None = None) -> DrillPlan:
    """A plan from a mapping with the fields of ``FIELDS``; all but title and length may be left out.

    Numbers of items are a whole number (exactly so many) or ``{least, most}``; difficulties are logits with at most three
    decimals. ``known`` gives the values that exist, by word of ``COUNTED`` and ``parts``. InvalidPlanError lists all faults.
    """
    reader = _Reader(known or {})
    plan = reader.plan(data)
    if plan is None or reader.problems:
        raise InvalidPlanError(reader.problems)
    return plan


def plan_to_mapping(plan: DrillPlan) -> dict[str, Any]:
    """The mapping that ``plan_from_mapping`` reads back as the same plan."""
    data: dict[str, Any] = {"title": plan.title, "length": plan.length}
    data["scope"] = ALL if plan.scope is None else sorted(plan.scope)
    demands: dict[str, dict[str, Any]] = {}
    for demand in plan.demands:
        demands.setdefault(demand.kind, {})[demand.value] = _written(demand)
    if demands:
        data["demands"] = demands
    bands = [{**_range(band.low, band.high), **_limits(band)} for band in plan.bands]
    mean = _range(plan.mean_low, plan.mean_high)
    if bands or mean:
        data["difficulty"] = {**({"bands": bands} if bands else {}), **({"mean": mean} if mean else {})}
    limits = {"key_at_most": plan.key_at_most, "herb_at_most": plan.herb_at_most}
    return data | {name: limit for name, limit in limits.items() if limit is not None}


def _written(demand: Demand) -> int | dict[str, int]:
    return demand.least if demand.exact else _limits(demand)


def _limits(counted: Demand | Band) -> dict[str, int]:
    return ({"least": counted.least} if counted.least else {}) | (
        {} if counted.most is None else {"most": counted.most}
    )


def _range(low: int | None, high: int | None) -> dict[str, float]:
    return {name: end / LOGIT for name, end in (("low", low), ("high", high)) if end is not None}


def _whole(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


class _Reader:
    """Reads one plan and gathers what is wrong with it."""

    def __init__(self, known: Mapping[str, Collection[str]]) -> None:
        self.known = known
        self.problems: list[str] = []

    def plan(self, data: object) -> DrillPlan | None:
        """The plan as far as it can be read; None when it is no mapping."""
        if not isinstance(data, Mapping):
            self.problems.append("A drill plan is a mapping with a title, a length and demands.")
            return None
        self._unknown(data, FIELDS, "The plan")
        title = data.get("title")
        if not isinstance(title, str) or not title.strip() or len(title) > MAX_TITLE or "\x00" in title:
            self.problems.append(f"Give the plan a title of 1 to {MAX_TITLE} characters.")
        length = data.get("length")
        if not _whole(length) or not 1 <= length <= MOST_ITEMS:  # type: ignore[operator]
            self.problems.append(f"The length is a whole number of items from 1 to {MOST_ITEMS}.")
            length = MOST_ITEMS
        difficulty = self._mapping(data.get("difficulty"), ("bands", "mean"), "difficulty")
        mean = self._mapping(difficulty.get("mean"), ("low", "high"), "The mean difficulty")
        low, high = self._ends(mean, "The mean difficulty")
        if low is not None and high is not None and low > high:
            self.problems.append("The mean difficulty's low end lies above its high end.")
        return DrillPlan(
            str(title).strip(), length, self._scope(data.get("scope", ALL)),  # type: ignore[arg-type]
            tuple(self._demands(data.get("demands"), length)), tuple(self._bands(difficulty.get("bands"), length)),  # type: ignore[arg-type]
            self._limit(data, "key_at_most"), self._limit(data, "herb_at_most"), low, high,
        )  # fmt: skip

    def _unknown(self, data: Mapping[Any, Any], names: Collection[str], what: str) -> None:
        for name in data:
            if name not in names:
                self.problems.append(f"{what} has no field “{name}”; it may have {', '.join(names)}.")

    def _mapping(self, value: object, names: Collection[str], what: str) -> Mapping[Any, Any]:
        if value is None:
            return {}
        if not isinstance(value, Mapping):
            self.problems.append(f"{what} is a mapping of {', '.join(names)}.")
            return {}
        self._unknown(value, names, what)
        return value

    def _scope(self, value: object) -> frozenset[str] | None:
        if value == ALL:
            return None
        if not isinstance(value, list) or not value or not all(isinstance(part, str) for part in value):
            self.problems.append("The scope is “all” or a list of one part or more.")
            return None
        for part in value:
            if "parts" in self.known and part not in self.known["parts"]:
                self.problems.append(f"There is no part “{part}” to put in scope.")
        return frozenset(value)

    def _demands(self, value: object, length: int) -> Iterator[Demand]:
        kinds = self._mapping(value, COUNTED, "demands")
        # In an order of their own: a database may keep the entries of a mapping in any.
        for kind in (kind for kind in COUNTED if kind in kinds):
            wanted = kinds[kind]
            if not isinstance(wanted, Mapping):
                self.problems.append(f"The demand on {kind} is a mapping from a value to a number of items.")
                continue
            for name, number in sorted(wanted.items(), key=lambda entry: str(entry[0])):
                if not isinstance(name, str):
                    self.problems.append(f"The demand on {kind} names “{name}”, which is no word; put it in quotes.")
                    continue
                if kind in self.known and name not in self.known[kind]:
                    self.problems.append(f"There is no “{name}” among the {kind}.")
                least, most = self._number(number, f"The demand for items {COUNTED[kind][1].format(name)}", length)
                yield Demand(kind, name, least, most)

    def _bands(self, value: object, length: int) -> Iterator[Band]:
        if value is None:
            return
        if not isinstance(value, list):
            self.problems.append("The difficulty's bands are a list.")
            return
        for number, entry in enumerate(value, 1):
            what = f"Band {number}"
            band = self._mapping(entry, ("low", "high", "least", "most"), what)
            low, high = self._ends(band, what)
            if low is not None and high is not None and low >= high:
                self.problems.append(f"{what}: its low end must lie below its high end.")
            counts = {name: band[name] for name in ("least", "most") if name in band}
            least, most = self._number(counts, f"The band {describe_band(low, high)}", length)
            yield Band(low, high, least, most)

    def _number(self, value: object, what: str, length: int) -> tuple[int, int | None]:
        """Least and most from a whole number or a mapping of both."""
        if _whole(value):
            value = {"least": value, "most": value}
        if not isinstance(value, Mapping) or not value or set(value) - {"least", "most"}:
            self.problems.append(f"{what} is a whole number, or says least, most or both.")
            return 0, None
        if not all(_whole(number) and number >= 0 for number in value.values()):
            self.problems.append(f"{what} counts in whole numbers from 0.")
            return 0, None
        least, most = value.get("least", 0), value.get("most")
        if most is not None and least > most:
            self.problems.append(f"{what} asks for at least {least} and at most {most}.")
        if least > length:
            self.problems.append(f"{what} asks for {least} items of a form of {length}.")
        return least, most

    def _ends(self, data: Mapping[Any, Any], what: str) -> tuple[int | None, int | None]:
        return self._logits(data.get("low"), what), self._logits(data.get("high"), what)

    def _logits(self, value: object, what: str) -> int | None:
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) <= 20:
            self.problems.append(f"{what}: a difficulty is a number of logits from -20 to 20.")
            return None
        if abs(value * LOGIT - round(value * LOGIT)) > 1e-6:
            self.problems.append(f"{what}: a difficulty has at most three decimals.")
        return round(value * LOGIT)

    def _limit(self, data: Mapping[Any, Any], name: str) -> int | None:
        value = data.get(name)
        if value is None:
            return None
        if not _whole(value) or value < 1:
            self.problems.append(f"{name} is a whole number from 1.")
            return None
        return int(value)
