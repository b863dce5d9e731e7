"""How hard items are, from answers to items served by lot.

The difficulty of an item is the sum of its features' weights (the linear logistic test model; G. H. Fischer, Acta
Psychologica 37, 1973, 359-374) plus a residual of its item model, drawn towards 0 as far as its answers are few. Abilities
are given: the estimates that stood before each answer. Items served by lot alone may be used, since an item that was chosen
because it seemed easy for somebody would be thought easier than it is.

The penalised likelihood is climbed by Fisher scoring. Residuals are many and each bears on its own answers alone, so that
their block of the information is diagonal and is eliminated; what is solved has the size of the weights. Where zero lies is
a matter of definition: were it fitted, estimates of ability and of difficulty would carry each other away. So one common
shift is fitted and thrown away, and residuals are centred.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .ability import success
from .constants import RESIDUAL_SPREAD, WEIGHT_SPREAD

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
MOST_STEPS = 100
CONVERGED = 1e-8  # logits, the largest step
HALVINGS = 30
SHIFT_PRECISION = 0.25  # of the shift, which may well be a logit or two
LEAST_CHANCE = 1e-9  # keeps logarithms finite


@dataclass(frozen=True)
class Calibration:
    """Weights (F,), residuals (M,) with their standard errors (M,), in logits; the shift by which answers came out harder
    than abilities and difficulties say; answers used; whether the climb ended."""

    weights: Floats
    residuals: Floats
    errors: Floats
    shift: float
    answers: int
    converged: bool


def difficulties(calibration: Calibration, features: Floats, model: Ints) -> Floats:
    """(N,) the difficulty of items; a model of -1 or beyond those fitted has no residual."""
    known = (model >= 0) & (model < len(calibration.residuals))
    residual = np.zeros(len(model))
    residual[known] = calibration.residuals[model[known]]
    return np.asarray(features @ calibration.weights + residual)


def fit(
    ability: Floats, features: Floats, model: Ints, right: NDArray[np.bool_], floor: Floats, *, weights: Sequence[float] | Floats,
    models: int | None = None, weight_spread: float = WEIGHT_SPREAD, residual_spread: float = RESIDUAL_SPREAD,
) -> Calibration:  # fmt: skip
    """Weights and residuals from n answers.

    ``ability`` (n,) before each answer, ``features`` (n, F), ``model`` (n,) from 0, ``right`` (n,), ``floor`` (n,);
    ``weights`` (F,) as judged beforehand, towards which the fitted ones are drawn. ``models`` is their number, if some had
    no answers.
    """
    judged = np.append(np.asarray(weights, dtype=float), 0.0)  # the last one is the shift
    columns = np.column_stack([features, np.ones(len(ability))])
    count = models if models is not None else int(model.max(initial=-1)) + 1
    truth = np.asarray(right, dtype=float)
    precision = np.append(np.full(len(judged) - 1, weight_spread**-2.0), SHIFT_PRECISION)
    residual_precision = residual_spread**-2.0

    def chances(w: Floats, r: Floats) -> Floats:
        found = success(ability, columns @ w + r[model], floor)
        return np.clip(found, LEAST_CHANCE, 1.0 - LEAST_CHANCE)

    def objective(w: Floats, r: Floats) -> float:
        chance = chances(w, r)
        likelihood = truth @ np.log(chance) + (1.0 - truth) @ np.log1p(-chance)
        return float(likelihood - 0.5 * precision @ (w - judged) ** 2 - 0.5 * residual_precision * (r @ r))

    w, r = judged.copy(), np.zeros(count)
    value, converged = objective(w, r), False
    diagonal = np.full(count, residual_precision)
    for _ in range(MOST_STEPS):
        chance = chances(w, r)
        above = (chance - floor) / (1.0 - floor)  # the logistic part
        slope = -(1.0 - floor) * above * (1.0 - above)  # of the chance, by difficulty
        score = (truth - chance) / (chance * (1.0 - chance)) * slope
        information = slope**2 / (chance * (1.0 - chance))
        gradient_w = columns.T @ score - precision * (w - judged)
        gradient_r = np.bincount(model, weights=score, minlength=count) - residual_precision * r
        weighted = columns * information[:, None]
        block = columns.T @ weighted + np.diag(precision)
        diagonal = np.bincount(model, weights=information, minlength=count) + residual_precision
        between = np.zeros((count, len(w)))
        np.add.at(between, model, weighted)
        scaled = between / diagonal[:, None]
        step_w = np.linalg.solve(block - between.T @ scaled, gradient_w - scaled.T @ gradient_r)
        step_r = (gradient_r - between @ step_w) / diagonal
        share, found = _halved(objective, value, w, r, step_w, step_r)
        if not share:
            converged = True  # no step upwards is left that figures of this precision can tell
            break
        w, r, value = w + share * step_w, r + share * step_r, found
        if share * max(np.abs(step_w).max(initial=0.0), np.abs(step_r).max(initial=0.0)) < CONVERGED:
            converged = True
            break
    centred = r - (r.mean() if count else 0.0)
    return Calibration(w[:-1], centred, 1.0 / np.sqrt(diagonal), float(w[-1]), len(truth), converged)


def _halved(
    objective: Callable[[Floats, Floats], float], value: float, w: Floats, r: Floats, step_w: Floats, step_r: Floats
) -> tuple[float, float]:
    """The share of a step, halved until it does not lead down, with the objective there; a share of 0 when every one does."""
    share = 1.0
    for _ in range(HALVINGS):
        found = objective(w + share * step_w, r + share * step_r)
        if found >= value:
            return share, found
        share /= 2
    return 0.0, value
