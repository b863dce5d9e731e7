"""A fit in words: what each part of the figure is and why the verdict follows."""

from collections.abc import Mapping
from typing import Any

from .engine import (
    AXES,
    STATE_POLES,
    VERDICT_WORDS,
    VERDICTS,
    Catalogue,
    InvalidPatternError,
    Pattern,
    Presentation,
    UnknownNameError,
    bounds,
    constitution_from_mapping,
    pole,
    score,
)


def read_presentation(wanted: Any) -> Presentation:
    """A presentation from its published shape; InvalidPatternError says what is missing."""
    if not isinstance(wanted, Mapping):
        raise InvalidPatternError("A presentation is a JSON object with site, action and pattern.")
    for key in ("site", "action", "pattern"):
        if key not in wanted:
            raise InvalidPatternError(f"The presentation has no {key!r}.")
    if not isinstance(wanted["pattern"], Mapping) or not all(
        isinstance(v, Mapping) for v in wanted["pattern"].values()
    ):
        raise InvalidPatternError('A pattern looks like {"moisture": {"degree": -2, "follows": null}}.')
    constitution, person = wanted.get("constitution") or {}, wanted.get("person") or []
    if not isinstance(constitution, Mapping):
        raise InvalidPatternError('A constitution looks like {"temperature": -1}.')
    if not isinstance(person, list) or not all(isinstance(word, str) for word in person):
        raise InvalidPatternError('A person is a list of words such as ["pregnancy"].')
    return Presentation(
        str(wanted["site"]),
        str(wanted["action"]),
        Pattern.from_mapping(wanted["pattern"]),
        constitution_from_mapping(constitution),
        frozenset(person),
    )


def explain(catalogue: Catalogue, part: str, presentation: Presentation) -> str:
    """The fit of a part, line by line."""
    row = catalogue.row_number(part)
    unknown = presentation.person - set(catalogue.word_index)
    if unknown:
        known = ", ".join(catalogue.word_index)
        raise UnknownNameError(f"No caution turns on the person word {sorted(unknown)[0]!r}. The words are: {known}.")
    table = score(catalogue, presentation)
    _, low, high = catalogue.effects(presentation.site)
    reach = bounds(low, high, catalogue, presentation)
    pattern = presentation.pattern
    lines = [
        f"{catalogue.rows[row].label} ({catalogue.rows[row].latin}) for {presentation.action} at {presentation.site}",
        "",
    ]
    for axis, name in enumerate(AXES):
        effect, degree = table.effects[row, axis], pattern.degrees[axis]
        does = "temperate" if not effect else f"{pole(name, effect)} {abs(effect):g}"
        span = f"sources span {low[row, axis]:+g} to {high[row, axis]:+g}"
        if degree:
            root = pattern.follows[axis]
            state = f"state {pole(name, degree, STATE_POLES)} {abs(degree):g}"
            state += f", follows {AXES[root]}" if root is not None else ", leads" if axis in pattern.leading else ""
            outcome = f"raw match {table.raw[row, axis]:+.3f}, carried {table.match[row, axis]:+.3f}"
        else:
            state, outcome = "no need", f"waste {table.waste[row, axis]:.3f}"
        lines.append(f"  {name:<12} {does:<14} {state:<32} {outcome}; {span}")
    lines += [
        "",
        f"  E energetic match {table.energetic[row]:+.3f}",
        f"  A affinity        {table.affinity[row]:+.3f}",
        f"  X action          {table.action[row]:+.3f}",
        f"  F fit             {table.fit[row]:+.3f} (between {reach.low[row]:+.3f} and {reach.high[row]:+.3f})",
    ]
    derivation = catalogue.derived.get((row, presentation.action, presentation.site))
    if derivation:
        lines.append(f"  The action is derived: {derivation.says}.")
    if table.opposed[row]:
        lines.append("  It also has an action opposed to the one asked, plainly and at this place.")
    if table.unsafe[row]:
        met = [w for w in catalogue.unsafe_words(row) if w in presentation.person]
        lines.append(f"  A caution meets the person: {', '.join(met)}.")
    possible = [VERDICT_WORDS[v] for v, may in zip(VERDICTS, reach.possible[row], strict=True) if may]
    lines += [
        "",
        f"  It {VERDICT_WORDS[VERDICTS[table.verdict[row]]]}. Possible within the sources: {', '.join(possible)}.",
    ]
    return "\n".join(lines)
