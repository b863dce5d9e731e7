"""The body-site graph as coordinates for a server-drawn picture: systems, the organs in them, and where a part goes."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from herbs.engine import BEARING_MIN, SiteGraph, joined

WIDTH: Final = 400
SYSTEM_X, TRUNK_X, ORGAN_X = 12, 160, 174  # where systems stand, where the branches leave, where organs begin
LINE, GAP = 25, 7  # from one line of organs to the next, and more between systems
WIDE, NARROW = set("mw"), set("fijlrt ")  # letters by width, at the size of the labels, in the heavier weight
TEXT_AFTER, ORGAN_AFTER = 12, 23  # from a mark to its label, and from a label to the next mark's centre
CLAIMED, REACHED, UNTOUCHED = "claimed", "reached", "untouched"
WIDENED = "widened"  # claimed only by sources that widen
STRENGTH_WORDS = ("hardly", "slightly", "plainly", "leading")


@dataclass(frozen=True)
class Node:
    """A site on the picture: label, centre, state, strength 0 to 3, radius of its mark."""

    label: str
    x: float
    y: float
    state: str
    strength: int
    radius: float

    @property
    def text_x(self) -> float:
        """Where the label begins."""
        return self.x + TEXT_AFTER


@dataclass(frozen=True)
class Branch:
    """The line from a system to its organs; strong where something of the system is claimed."""

    path: str
    strong: bool


def body_map(graph: SiteGraph, claimed: Mapping[str, tuple[int, bool]], reach: Mapping[str, float]) -> dict[str, Any]:
    """Nodes and branches, with the picture's height and text equivalent.

    ``claimed`` gives strength 0 to 3 by site and whether the arithmetic reckons with it; ``reach`` the affinity (0..1) of
    every site. An organ of two systems stands with both. The layout is the same for every part, so that pictures compare.
    """
    nodes: list[Node] = []
    branches: list[Branch] = []
    y = 16.0
    for site in graph.sites.values():
        if site.kind != "system":
            continue
        top = y
        organs = [s for s in graph.sites.values() if s.kind == "organ" and site.slug in s.parents]
        nodes.append(_node(site.slug, site.name, SYSTEM_X, top, claimed, reach))
        x = float(ORGAN_X)
        lines = [top]
        for organ in organs:
            width = TEXT_AFTER + _width(organ.name)
            if x > ORGAN_X and x + width > WIDTH:
                x, y = float(ORGAN_X), y + LINE
                lines.append(y)
            nodes.append(_node(organ.slug, organ.name, x, y, claimed, reach))
            x += width + ORGAN_AFTER - TEXT_AFTER
        if organs:
            strong = any(slug in claimed for slug in (site.slug, *(organ.slug for organ in organs)))
            branches.append(Branch(_path(SYSTEM_X + TEXT_AFTER + _width(site.name), top, lines), strong))
        y += LINE + GAP
    y += GAP
    rule = y - LINE / 2 - GAP
    x = float(SYSTEM_X)
    for site in graph.sites.values():
        if site.kind == "tissue":
            width = TEXT_AFTER + _width(site.name)
            if x > SYSTEM_X and x + width > WIDTH:
                x, y = float(SYSTEM_X), y + LINE
            nodes.append(_node(site.slug, site.name, x, y, claimed, reach))
            x += width + ORGAN_AFTER - TEXT_AFTER
    return {
        "nodes": nodes,
        "branches": branches,
        "width": WIDTH,
        "height": y + 16,
        "rule": rule,
        "text": _text(graph, claimed, reach),
        "widened": any(node.state == WIDENED for node in nodes),
        "reached": any(node.state == REACHED for node in nodes),
    }


def _node(
    slug: str, name: str, x: float, y: float, claimed: Mapping[str, tuple[int, bool]], reach: Mapping[str, float]
) -> Node:
    if slug in claimed:
        strength, reckoned = claimed[slug]
        return Node(name, x, y, CLAIMED if reckoned else WIDENED, strength, 6.0 + strength)
    if reach.get(slug, 0.0) >= BEARING_MIN:
        return Node(name, x, y, REACHED, 0, 4.0)
    return Node(name, x, y, UNTOUCHED, 0, 2.5)


def _width(label: str) -> float:
    """About how wide a label is drawn, on the safe side."""
    return sum(11.0 if letter in WIDE else 4.6 if letter in NARROW else 7.0 for letter in label)


def _path(start: float, top: float, lines: list[float]) -> str:
    """From the system's label to the trunk, down the trunk, and out to each line of organs."""
    reach = f"M{min(start + 2, TRUNK_X - 4):g} {top:g}H{TRUNK_X + 4}"
    trunk = f"M{TRUNK_X - 2} {top:g}V{lines[-1]:g}" if len(lines) > 1 else ""
    return reach + trunk + "".join(f"M{TRUNK_X - 2} {line:g}H{TRUNK_X + 4}" for line in lines[1:])


def _text(graph: SiteGraph, claimed: Mapping[str, tuple[int, bool]], reach: Mapping[str, float]) -> str:
    """The picture in words: places by strength, then where it reaches from there."""
    ranked = sorted(claimed.items(), key=lambda item: (-item[1][0], graph[item[0]].name))
    said = [
        f"{graph[slug].name}, {STRENGTH_WORDS[strength]}{'' if reckoned else ', by a source that only widens'}"
        for slug, (strength, reckoned) in ranked
    ]
    touched = [
        site.name
        for site in graph.sites.values()
        if site.slug not in claimed and reach.get(site.slug, 0.0) >= BEARING_MIN
    ]
    text = f"Claimed: {'; '.join(said)}." if said else "No place is claimed."
    return f"{text} Reached from there: {joined(touched)}." if touched else text
