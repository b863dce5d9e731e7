"""Reasons whose words can be read: each is true where it is called true or decisive, and only there.

A reason is read by the sentences it may be made of; one that says something else is left alone (nothing is returned).
"""

import re
from collections.abc import Callable, Iterator

from tests.oracle.bench import Bench, Item, sign
from tests.oracle.claims import AXES
from tests.oracle.families.name_the_state import QUALITIES, order_shown, summed
from tests.oracle.families.taste_to_effect import expected
from tests.oracle.herbs import agrees, does
from tests.oracle.shape import reason_lists
from tests.oracle.solver import Question

Reader = Callable[[str, Item, Bench], bool | None]

TISSUE = {
    "hot": (0, 1), "cold": (0, -1), "damp": (1, 1), "dry": (1, -1), "tense": (2, 1), "lax": (2, -1),
    "excited": (3, 1), "torpid": (3, -1),
}  # fmt: skip


def reason_faults(item: Item, bench: Bench) -> Iterator[str]:
    """Every reason that can be read and is not what its status says."""
    read = READERS.get(item["family"])
    if read is None:
        return
    for reasons in reason_lists(item):
        for reason in reasons:
            holds = read(reason["text"], item, bench)
            if holds is not None and holds != (reason["status"] in ("true", "decisive")):
                yield f"because: {reason['text']!r} is called {reason['status']}"


def named_parts(text: str, item: Item, bench: Bench) -> list[tuple[str, str]]:
    """The parts of the certificate that a text names, each with the words up to the next one named."""
    labels = {option["part"]: option["label"] for option in item["options"] if "part" in option}
    rows = [said["part"] for said in item["certificate"]["rows"]]
    # In running text the form stands in brackets: "ginger rhizome (fresh)".
    names = sorted(
        ((re.sub(r", (.+)$", r" (\1)", labels.get(part, bench.rows[part].label).lower()), part) for part in rows),
        key=lambda one: -len(one[0]),
    )
    rest, places = text.lower(), []
    for name, part in names:
        place = rest.find(name)
        if place >= 0:
            places.append((place, place + len(name), part))
            rest = rest.replace(name, "#" * len(name), 1)
    places.sort()
    ends = [*(start for start, _, _ in places[1:]), len(text)][: len(places)]
    return [(part, text[start:end]) for (_, start, part), end in zip(places, ends, strict=True)]


def of_state(text: str, item: Item, bench: Bench) -> bool | None:
    """What the findings add up to, what none speaks for, and what came first."""
    evidence = summed(item)
    if found := re.match(r"^The findings on (\w+) add up to (\w+)\.$", text):
        axis, way = QUALITIES[found[2]]
        return axis == found[1] and sign(evidence[AXES.index(axis)]) == way
    if found := re.match(r"^Among the findings none speaks for an? (\w+) or (\w+) state\.$", text):
        spoken = {axis for finding in item["presentation"]["findings"] for axis in finding["evidence"]}
        return AXES[TISSUE[found[1]][0]] not in spoken
    if found := re.match(r"^The order told puts (\w+) first, with (\w+) coming of it\.$", text):
        return order_shown(item, bench.words).get(QUALITIES[found[2]][0]) == QUALITIES[found[1]][0]
    return None


def of_two_at_a_site(text: str, item: Item, bench: Bench) -> bool | None:
    """What two herbs do on axes that are said to lead."""
    found = re.match(r"^(.*), and ([a-z, ]+) leads? here\.$", text)
    if not found:
        return None
    ask = Question.of(item["presentation"])
    leading = {AXES.index(word) for word in re.findall(r"[a-z]+", found[2]) if word in AXES}
    parts = named_parts(found[1], item, bench)
    said = [(bench.found(part, ask)[0].value, does(words)) for part, words in parts]
    if not leading or not said or not all(words for _, words in said):
        return None
    return leading <= set(ask.leading) and all(agrees(words, values) for values, words in said)


def of_two(text: str, item: Item, bench: Bench) -> bool | None:
    """What tells two herbs apart, what they share, and what tissue calls for which."""
    values = {
        said["part"]: [axis[0] for axis in bench.rows[said["part"]].axes(None)] for said in item["certificate"]["rows"]
    }
    if found := re.match(r"^(\w+) tissue calls for (.*), (\w+) tissue for (.*)\.$", text):
        named = [part for part, _ in named_parts(text, item, bench)]
        states = [TISSUE[found[1].lower()], TISSUE[found[3].lower()]]
        if len(named) != 2:
            return None
        return all(sign(values[part][axis]) == -way for part, (axis, way) in zip(named, states, strict=True))
    if found := re.search(r"since both of them (\w+)\.$", text):
        return all(agrees(does(found[1]), own) for own in values.values())
    if found := re.match(r"^(.*) both (\w+), which leaves these two together\.$", text):
        return all(agrees(does(found[2]), values[part]) for part, _ in named_parts(found[1], item, bench))
    if text.endswith(", which tells these two apart."):
        said = [(values[part], does(words)) for part, words in named_parts(text, item, bench)]
        return all(agrees(words, own) for own, words in said) if all(words for _, words in said) else None
    return None


def of_taste(text: str, item: Item, bench: Bench) -> bool | None:
    """What a tradition's rule expects of the tastes, and what it says besides."""
    subject = item["subject"]
    row = bench.rows[subject["part"]]
    says = [row.said_in(subject["tradition"], axis) or 0.0 for axis in AXES]
    if found := re.search(r" (?:is|are) held to (.*)\.$", text):
        if "whatever its taste" in text:
            return agrees(does(found[1]), says)
        rule = expected(bench.words, subject["tradition"], subject["tastes"])
        return agrees(does(found[1]), [rule.get(axis, 0.0) for axis in AXES])
    if found := re.search(r" it also (.*)\.$", text):
        return agrees(does(found[1]), says)
    return None


def of_a_finding(text: str, item: Item, bench: Bench) -> bool | None:
    """What the herb thought of does, and the axis that the new finding bears on."""
    found = re.match(r"^It (.*), and the new finding bears on (\w+)\.$", text)
    if not found:
        return None
    certificate = item["certificate"]
    ask = Question.of(item["presentation"])
    values = bench.found(certificate["rows"][0]["part"], ask)[0].value
    moved = [
        axis for axis, one, other in zip(AXES, certificate["before"], certificate["after"], strict=True) if one != other
    ]
    return moved == [found[2]] and agrees(does(found[1]), values)


def of_the_plane(text: str, item: Item, bench: Bench) -> bool | None:
    """Which tissue a part answers by temperature and moisture, and what it does besides."""
    values = [axis[0] for axis in bench.rows[item["subject"]["part"]].axes(None)]
    if found := re.match(
        r"^(?:It|They) (.*), so (?:it answers|they answer) tissue that is (\w+)(?: and (\w+))?\.$", text
    ):
        states = [TISSUE[word] for word in found.groups()[1:] if word]
        return agrees(does(found[1]), values) and all(sign(values[axis]) == -way for axis, way in states)
    if found := re.match(r"^(?:It|They) also (.*), a quality that the plane leaves out\.$", text):
        said = does(found[1])
        return agrees(said, values) and all(axis > 1 for axis, _, _ in said)
    return None


READERS: dict[str, Reader] = {
    "new-finding": of_a_finding,
    "place-on-the-plane": of_the_plane,
    "name-the-state": of_state,
    "order-by-fit": of_two_at_a_site,
    "point-of-difference": of_two,
    "kinds": of_two,
    "taste-to-effect": of_taste,
}
