"""Small catalogues and random patterns for the tests of the arithmetic."""

from dataclasses import replace

import numpy as np
from hypothesis import strategies as st

from herbs.engine import (
    ActionTerm,
    Catalogue,
    InvalidPatternError,
    PartRecord,
    Pattern,
    Presentation,
    Site,
    SiteGraph,
    TeachingSet,
    compile_catalogue,
)

PLACE, ACTION, WORD = "place", "act", "word"


def catalogue(value, low=None, high=None, affinity=1.0, action=1.0, opposed=False, unsafe=False) -> Catalogue:
    """P rows at one site with one action; every figure is a number or one per row."""
    value = np.atleast_2d(np.asarray(value, dtype=float))
    count = len(value)
    low = value if low is None else np.atleast_2d(np.asarray(low, dtype=float))
    high = value if high is None else np.atleast_2d(np.asarray(high, dtype=float))

    def column(figures, kind):
        return np.broadcast_to(np.asarray(figures, dtype=kind), (count,)).copy()

    parts = [PartRecord(f"row-{n:05d}", f"row {n}", "", "", "tea", ()) for n in range(count)]
    graph = SiteGraph([Site(PLACE, PLACE, "system")])
    actions = {ACTION: ActionTerm(ACTION, ACTION, ACTION, is_class=True)}
    empty = compile_catalogue(parts, TeachingSet("test", ()), graph, actions, [], [WORD], "test")
    return replace(
        empty, value=value, low=low, high=high,
        affinity=column(affinity, float)[:, None],
        strength=column(action, float)[:, None, None],
        claims_action=np.ones((count, 1), dtype=bool),
        opposes=column(opposed, bool)[:, None, None],
        unsafe=column(unsafe, bool)[:, None],
    )  # fmt: skip


def presentation(pattern: Pattern, constitution=(0.0, 0.0, 0.0, 0.0), person=()) -> Presentation:
    """A presentation at the one site of ``catalogue``."""
    return Presentation(PLACE, ACTION, pattern, constitution, frozenset(person))


def _pattern(degrees, roots):
    follows = tuple(
        root if root is not None and root != axis and degrees[axis] and degrees[root] else None
        for axis, root in enumerate(roots)
    )
    try:
        return Pattern(degrees, follows)
    except InvalidPatternError:  # all temperate, or a circle of roots
        return None


whole_degrees = st.integers(-4, 4).map(float)
degrees = st.one_of(whole_degrees, st.floats(-4, 4, allow_nan=False))
four_effects = st.tuples(degrees, degrees, degrees, degrees)
root = st.one_of(st.none(), st.integers(0, 3))
patterns = (
    st.builds(_pattern, st.tuples(*[whole_degrees] * 4), st.tuples(root, root, root, root))
    .filter(lambda pattern: pattern is not None)
)  # fmt: skip
leanings = st.tuples(*[st.sampled_from((-1.0, 0.0, 1.0))] * 4)
shares = st.floats(0, 1, allow_nan=False)
