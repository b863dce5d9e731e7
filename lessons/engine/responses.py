"""Answers as one small number, whatever the kind of response, and the marks for them."""

from collections.abc import Mapping, Sequence
from itertools import permutations
from math import ceil
from typing import Any

FULL = 1000  # thousandths of what the choice is worth
ORDERS: Sequence[tuple[int, ...]] = tuple(permutations(range(4)))
DEGREES = range(-4, 5)
LEANS = range(-2, 3)


def count(item: Mapping[str, Any]) -> int:
    """How many answers an item admits; they are numbered from 0."""
    kind = item.get("response", "choose")
    if kind == "choose":
        return len(item["options"])
    return {"rank": len(ORDERS), "match": len(ORDERS), "place": len(DEGREES) ** 2, "lean": len(LEANS)}[kind]


def cell(response: int) -> tuple[int, int]:
    """Temperature and moisture of an answer that places."""
    return DEGREES[response // len(DEGREES)], DEGREES[response % len(DEGREES)]


def cell_number(temperature: int, moisture: int) -> int:
    """The number of a place on the plane."""
    return DEGREES.index(temperature) * len(DEGREES) + DEGREES.index(moisture)


def order_number(order: Sequence[int]) -> int:
    """The number of an order, or of a matching, of four."""
    return ORDERS.index(tuple(order))


def right_response(item: Mapping[str, Any]) -> int | None:
    """The number of a fully right answer; None where a panel has to say."""
    kind, key = item["response"], item["key"]
    if kind == "choose":
        return int(key)
    if kind in ("rank", "match"):
        return order_number(key)
    if kind == "place":
        return cell_number(*(round((low + high) / 2) for low, high in zip(key["low"], key["high"], strict=True)))
    return None


def mark_choice(item: Mapping[str, Any], response: int) -> int:
    """Full marks for the key, none for another option."""
    return FULL if response == item["key"] else 0


def mark_order(item: Mapping[str, Any], response: int) -> int:
    """Concordant less discordant pairs, as a share of all six, never below nothing: what Kendall's tau is for four."""
    order, key = ORDERS[response], list(item["key"])
    place = {option: number for number, option in enumerate(order)}
    pairs = [(key[a], key[b]) for a in range(4) for b in range(a + 1, 4)]
    concordant = sum(place[first] < place[second] for first, second in pairs)
    return max(0, FULL * (2 * concordant - len(pairs)) // len(pairs))


def mark_matching(item: Mapping[str, Any], response: int) -> int:
    """The share of herbs matched with their own kind."""
    return FULL * sum(a == b for a, b in zip(ORDERS[response], item["key"], strict=True)) // len(item["key"])


FALLING = {0: FULL, 1: 500, 2: 200}  # by distance in degrees from the box


def mark_place(item: Mapping[str, Any], response: int) -> int:
    """Full marks inside the interval's box, less with the distance from it (the greater of the two axes', in degrees)."""
    away = 0.0
    for at, low, high in zip(cell(response), item["key"]["low"], item["key"]["high"], strict=True):
        away = max(away, low - at, at - high)
    return FALLING.get(ceil(away), 0)


MARKS = {"choose": mark_choice, "rank": mark_order, "match": mark_matching, "place": mark_place}


def mark(item: Mapping[str, Any], response: int) -> int:
    """What an answer earns of the choice's points, in thousandths; nothing where only a panel could say."""
    kind = item.get("response", "choose")
    return MARKS[kind](item, response) if kind in MARKS else 0
