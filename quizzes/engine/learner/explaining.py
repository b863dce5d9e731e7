"""Why an item was chosen, in a sentence for the student."""

from collections.abc import Mapping, Sequence
from typing import Any

from .ability import ACTION, AXIS, SITE
from .confusions import CONFUSIONS
from .selection import ANY, CASE, CONFUSION, HERB, LOT, PAIR, SKILL, Reason

SENTENCES = {
    LOT: "You see this because one question in ten is drawn by lot, to measure how hard questions are.",
    CONFUSION: "You see this because your answers showed a confusion ({0}), and here you can pass it by.",
    CASE: "You see this because the last few questions had no case, and to read one is what the rest is for.",
    PAIR: "You see this because {0} and {1} are easily taken for one another, and it is time to tell them apart again.",
    HERB: "You see this because it is time to meet {0} again.",
    SKILL: "You see this because {0} is a skill you have yet to make sure of, and the question is about as hard as suits you.",
    ANY: "You see this because it comes nearest to what suits you of the questions left.",
}
FACETS = {ACTION: "the action class of {0}", AXIS: "{0}", SITE: "the {0} system"}


def explain(reason: Reason, names: Mapping[str, str] | None = None) -> str:
    """A sentence beginning "You see this because"; ``names`` by slug or facet of herbs, action classes and places. Without a
    name the slug is spelled out."""
    named = [_name(about, names or {}) for about in reason.about]
    return SENTENCES[reason.code].format(*named)


def _name(about: str, names: Mapping[str, str]) -> str:
    if about in names:
        return names[about]
    if about in CONFUSIONS:
        return CONFUSIONS[about].title
    kind, colon, rest = about.partition(":")
    spelled = names.get(rest, rest.replace("-", " ")) if colon else about.replace("-", " ")
    return FACETS.get(f"{kind}{colon}", "{0}").format(spelled)


def reason_to_json(reason: Reason) -> list[str]:
    """A reason as it is stored: its code, then what it speaks of."""
    return [reason.code, *reason.about]


def reason_from_json(stored: Sequence[Any]) -> Reason | None:
    """The reason that was stored; None where nothing was, or a code that is no longer used."""
    if not stored or stored[0] not in SENTENCES:
        return None
    return Reason(str(stored[0]), tuple(str(about) for about in stored[1:]))
