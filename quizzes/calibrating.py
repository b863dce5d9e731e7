"""How hard items are, fitted again from the answers to items that practice chose by lot."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from lessons.engine import difficulty
from lessons.models import Item

from .engine import learner as model
from .engine.grading import BOTH_RIGHT, RIGHT_FOR_WRONG_REASON
from .learning import UNIT, floor_of
from .models import Answer

LEAST = 200  # answers below which the judged weights are better than fitted ones
BATCH = 1000
NAMES: Sequence[str] = (*difficulty.BASE, *difficulty.WEIGHTS)


@dataclass(frozen=True)
class Fitted:
    """A fit: weight of each feature as judged and as fitted (logits), and how many items changed by how much at most."""

    weights: dict[str, tuple[float, float]]
    answers: int
    models: int
    items: int
    largest: float


def judged() -> np.ndarray:
    """(F,) the weights before there are answers, in logits: of each family, then of each feature."""
    families = [base - difficulty.MEAN for base in difficulty.BASE.values()]
    return np.array([*families, *difficulty.WEIGHTS.values()], dtype=float) / UNIT


def features_of(item: Item) -> list[float]:
    """(F,) an item's features, in the order of NAMES: one family, and what makes it hard."""
    found = item.opened["difficulty"]["features"]
    return [
        *(float(item.family == name) for name in difficulty.BASE),
        *(found.get(name, 0.0) for name in difficulty.WEIGHTS),
    ]


def calibrate(*, write: bool = True) -> Fitted | None:
    """Fit the difficulties of all items and store them; None, and nothing written, below LEAST answers."""
    answers = list(
        Answer.objects.filter(question__is_random=True, score__isnull=False, ability_before__isnull=False)
        .select_related("question__item")
        .order_by("pk")
    )
    if len(answers) < LEAST:
        return None
    items = [answer.question.item for answer in answers]
    models = {name: number for number, name in enumerate(dict.fromkeys(item.model for item in items))}
    fit = model.fit(
        np.array([answer.ability_before for answer in answers]) / UNIT,
        np.array([features_of(item) for item in items]),
        np.array([models[item.model] for item in items]),
        np.array([answer.outcome in (BOTH_RIGHT, RIGHT_FOR_WRONG_REASON) for answer in answers]),
        np.array([floor_of(item.family) for item in items]),
        weights=judged(),
    )
    changed, largest = 0, 0.0
    rows: list[Item] = []
    for item in Item.objects.order_by("pk").iterator(chunk_size=BATCH):
        number = np.array([models.get(item.model, -1)])
        fitted = round(UNIT * float(model.difficulties(fit, np.array([features_of(item)]), number)[0]))
        if fitted != item.difficulty:
            changed, largest = changed + 1, max(largest, abs(fitted - item.difficulty) / UNIT)
            item.difficulty = fitted
            rows.append(item)
        if write and len(rows) >= BATCH:
            Item.objects.bulk_update(rows, ["difficulty"])
            rows.clear()
    if write:
        Item.objects.bulk_update(rows, ["difficulty"])
    weights = {name: (float(a), float(b)) for name, a, b in zip(NAMES, judged(), fit.weights, strict=True)}
    return Fitted(weights, len(answers), len(models), changed, largest)
