"""place-on-the-plane: temperature by moisture of one part, both spoken of and neither in wide dispute."""

from collections.abc import Iterator

from tests.oracle.bench import TOLERANCE, Bench, Item, differ
from tests.oracle.claims import AXES
from tests.oracle.herbs import rows_named

WIDEST = 2
PLANE = ("temperature", "moisture")


def judge(item: Item, bench: Bench) -> Iterator[str]:
    """The part, its box on the plane, and that the sources agree well enough to ask."""
    herbs = rows_named(item, bench, 1)
    if herbs is None or item["subject"].get("part") != herbs[0].slug:
        yield f"certificate: it is not about {item['subject']} alone"
        return
    row = herbs[0]
    if row.label.lower() not in item["stem"].lower():
        yield f"text: the stem does not name {row.label}"
    for place, axis in enumerate(PLANE):
        _, low, high = row.axes(None)[AXES.index(axis)]
        if not row.spoken_of(axis):
            yield f"key: nobody speaks of {axis}"
        if high - low > WIDEST + TOLERANCE:
            yield f"key: {axis} spans {low} to {high}, more than {WIDEST} degrees"
        said = item["key"]["low"][place], item["key"]["high"][place]
        if differ(said[0], low) or differ(said[1], high):
            yield f"key: {axis} is given from {said[0]} to {said[1]}, by the claims from {low} to {high}"
