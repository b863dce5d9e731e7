"""Single points of an interval: fit and verdict from the written rules, and a search for a point with a given verdict.

Written apart from the engine, from the rules and constants of the energetic arithmetic, so that exact bounds can be
checked against what points actually do.
"""

from itertools import product

import numpy as np

WEIGHTS = np.array([0.5, 0.2, 0.3])
CORNERS = WEIGHTS * np.array(list(product((0.7, 1.3), repeat=3)))
CORNERS = CORNERS / CORNERS.sum(axis=1, keepdims=True)
SUITS, PARTLY, LITTLE, AGGRAVATES, UNSAFE = range(5)
THRESHOLDS = (-1.0, -0.75, -0.25, 0.0, 1 / 3)
STEPS = (0.0, 1e-12, -1e-12, 1e-9, -1e-9, 1e-6, -1e-6, 1e-3, -1e-3)


class Case:
    """One herb (interval, affinity, action, bars) for one pattern and constitution."""

    def __init__(self, low, high, pattern, constitution, affinity, action, opposed=False, unsafe=False):
        self.low, self.high = np.asarray(low, float), np.asarray(high, float)
        self.need, self.follows, self.leading = pattern.need, pattern.follows, list(pattern.leading)
        self.constitution, self.affinity, self.action = constitution, affinity, action
        self.opposed, self.unsafe = opposed, unsafe

    def raw(self, axis, effect):
        """Raw match on a needed axis, (N,)."""
        need, size = self.need[axis], np.abs(effect)
        helps = effect * np.sign(need) >= 0
        short = np.divide(size, abs(need))
        long = np.maximum(0, 1 - (size - abs(need)) / 4)
        match = np.where(helps, np.where(size <= abs(need), short, long), -np.minimum(1, size / 2))
        return np.maximum(-1, match - np.where(self.constitution[axis] * effect > 0, size / 8, 0))

    def judge(self, effects, weights):
        """Fit and verdict number at points: effects (N, 4), weights (N, 3) that sum to 1."""
        needed = [axis for axis in range(4) if self.need[axis]]
        raw = {axis: self.raw(axis, effects[:, axis]) for axis in needed}
        match = {}
        for axis in needed:
            root = self.follows[axis]
            own, lead = raw[axis], raw.get(root, np.zeros(len(effects)))
            lifted = np.where(own >= 0, np.maximum(own, lead), lead + own * (1 + lead))
            match[axis] = np.where(lead > 0, lifted, own)
        waste = np.zeros(len(effects))
        for axis in set(range(4)) - set(needed):
            lean = np.sign(self.constitution[axis] * effects[:, axis])
            waste += np.abs(effects[:, axis]) / 16 * (1 + lean)  # 2 with the lean, 1 without one, 0 against it
        total = sum(abs(self.need[axis]) for axis in needed)
        energetic = sum(abs(self.need[axis]) * match[axis] for axis in needed) / total - waste
        fit = weights @ np.array([0.0, self.affinity, self.action]) + weights[:, 0] * energetic
        against = np.any([raw[axis] <= -0.25 for axis in self.leading], axis=0)
        against |= np.any([raw[axis] <= -0.75 for axis in needed], axis=0) | self.opposed
        suits = (fit >= 0.6) & (energetic >= 1 / 3) & (self.affinity >= 0.33) & (self.action >= 0.33)
        suits &= np.all([raw[axis] >= 1 / 3 for axis in self.leading], axis=0)
        suits &= np.all([match[axis] >= 0 for axis in needed], axis=0)
        verdict = np.where(suits, SUITS, np.where(fit >= 0.3, PARTLY, LITTLE))
        if min(self.affinity, self.action) < 0.15:
            verdict[:] = LITTLE
        verdict = np.where(against, AGGRAVATES, verdict)
        return fit, np.full_like(verdict, UNSAFE) if self.unsafe else verdict

    def corners(self):
        """Every point whose effects are ends of the interval, the need or 0, at the extreme weights."""
        axes = [
            np.unique([self.low[a], self.high[a], *np.clip([self.need[a], 0.0], self.low[a], self.high[a])])
            for a in range(4)
        ]  # fmt: skip
        return _spread(np.array(list(product(*axes))))

    def samples(self, rng, count):
        """Random points of the interval with random weights."""
        effects = self.low + (self.high - self.low) * rng.random((count, 4))
        weights = WEIGHTS * rng.uniform(0.7, 1.3, (count, 3))
        return effects, weights / weights.sum(axis=1, keepdims=True)

    def near_thresholds(self, rng, most=1000):
        """Points whose raw matches lie on, or just beside, a threshold of a verdict."""
        axes = []
        for axis in range(4):
            low, high = self.low[axis], self.high[axis]
            found = [low, high, *np.clip([self.need[axis], 0.0], low, high)]
            if self.need[axis]:
                # Raw match is straight between these bends (1.6 degrees the wrong way are full where the person leans so).
                bends = np.clip([low, high, 0.0, self.need[axis], -1.6, 1.6, -2.0, 2.0], low, high)
                bends = np.unique(bends)
                values = self.raw(axis, bends)
                for n, threshold in product(range(len(bends) - 1), THRESHOLDS):
                    rise = values[n + 1] - values[n]
                    if rise and 0 <= (threshold - values[n]) / rise <= 1:
                        crossing = bends[n] + (bends[n + 1] - bends[n]) * (threshold - values[n]) / rise
                        found += [crossing + step for step in STEPS]
            axes.append(np.unique(np.clip(found, low, high)))
        if np.prod([len(a) for a in axes]) <= most:
            effects = np.array(list(product(*axes)))
        else:
            effects = np.column_stack([rng.choice(a, most) for a in axes])
        return _spread(effects)

    def search(self, verdict, effects, weights, rng):
        """A point with a verdict, sought hard beside the thresholds and along lines between known points, or None."""
        for _ in range(4):
            tried, tried_weights = self.near_thresholds(rng, 30_000)
            _, found = self.judge(tried, tried_weights)
            if (found == verdict).any():
                return tried[found == verdict][0]
        for _ in range(40):
            one, two = rng.integers(len(effects), size=(2, 150))
            for _ in range(45):  # halve every line towards a change of verdict
                middle, middle_weights = (effects[one] + effects[two]) / 2, (weights[one] + weights[two]) / 2
                _, found = self.judge(middle, middle_weights)
                if (found == verdict).any():
                    return middle[found == verdict][0]
                _, start = self.judge(effects[one], weights[one])
                effects = np.vstack([effects, middle])
                weights = np.vstack([weights, middle_weights])
                number = np.arange(len(effects) - len(middle), len(effects))
                one, two = np.where(found == start, number, one), np.where(found == start, two, number)
            effects, weights = effects[-20000:], weights[-20000:]
        return None


def _spread(effects):
    """Each of the effects at the eight extreme weights and at the plain ones."""
    choices = np.vstack([CORNERS, WEIGHTS])
    return np.repeat(effects, len(choices), axis=0), np.tile(choices, (len(effects), 1))
