"""One clean item of every family, opened, made by hand. The herbs' figures are invented: here only the writing is looked at."""

from copy import deepcopy
from typing import Any

from herbs.engine import AXES

Item = dict[str, Any]
VIGNETTE = (
    "A woman of 34 comes to the teaching clinic with a tickling chest. She reports a hot windpipe after every hour of talk, and "
    "a wish for cool drinks. She recalls a parched throat first, and the heat only later. You find a narrow red tongue and a "
    "quick pulse. She takes no medicines and has no other illness or known allergies."
)
STATE = {"temperature": 1, "moisture": -2, "tone": 0, "movement": 0}
HERBS = (
    ("marshmallow root", "Althaea officinalis", "suits", None),
    ("thyme herb", "Thymus vulgaris", "aggravates", "wrong moisture"),
    ("elecampane root", "Inula helenium", "aggravates", "wrong temperature"),
    ("mullein leaf", "Verbascum thapsus", "partly", "too weak"),
)
DECISIVE = "It moistens strongly, and moisture leads here."
REASONS = (
    ("lead", "decisive", DECISIVE),
    ("mirror", "false", "It dries strongly, and moisture leads here."),
    ("follower", "misconception", "It cools slightly, and temperature leads here."),
    ("reach", "true", "It is an expectorant whose reach takes in the lungs."),
)
FACTS = (
    ("fact", "decisive", "Practice holds it so over its whole range."),
    ("reversed", "false", "Practice holds the contrary of it throughout."),
    ("name", "misconception", "The name of the class says as much already."),
)


def presentation() -> Item:
    """A dry and hot state of the chest, asking for an expectorant."""
    pattern = {axis: {"degree": degree, "follows": None} for axis, degree in STATE.items()}
    return {
        "site": "lungs", "action": "expectorant", "pattern": pattern, "pattern_name": "dry heat", "state": "dry-heat",
        "severity": 2, "findings": [], "constitution": dict.fromkeys(AXES, 0), "person": [], "person_names": [],
        "asking": "expectorant-lungs", "complaint": "a tickling chest",
    }  # fmt: skip


def herb(label: str, latin: str, verdict: str | None = None, fault: str | None = None) -> Item:
    """An option that is an herb; with a verdict where it is judged."""
    genus, species = latin.lower().split()
    part = label.split()[-1]
    shown: Item = {
        "part": f"{genus}-{species}-{part}",
        "label": label,
        "latin": latin,
        "part_name": part,
        "form": "",
        "marks": [],
        "fault": fault,
    }
    return shown | ({"verdict": verdict, "fit": {"low": 0.2, "high": 0.4}} if verdict else {})


def choices(*options: tuple[str, str | None]) -> list[Item]:
    """Options that are no herbs: label and fault."""
    return [
        {"slug": f"choice-{number}", "label": label, "fault": fault} for number, (label, fault) in enumerate(options)
    ]


def rows(options: list[Item]) -> list[Item]:
    """Certificate rows for options that are herbs."""
    asked = {"affinity": 0.8, "action": 0.7, "listed": True, "opposed": False, "unsafe": []}
    level = {"value": [0.0] * 4, "low": [0.0] * 4, "high": [0.0] * 4}
    return [{"part": option["part"]} | deepcopy(level) | asked for option in options if "part" in option]


def item(family: str, response: str, stem: str, options: list[Item], key: Any, **more: Any) -> Item:
    """An opened item; ``told`` gives it the presentation and its vignette."""
    told = more.pop("told", False)
    reasons = more.pop("reasons", FACTS)
    lists = [
        [{"code": code, "status": status, "text": text} for code, status, text in reasons]
        for _ in range(more.pop("lists", 1))
    ]
    made = {
        "family": family, "seed": 1, "response": response, "stem": stem, "vignette": VIGNETTE if told else "",
        "recipe": {"family": family, "seed": 1, "constraints": {}}, "presentation": presentation() if told else None,
        "options": options, "key": key, "because": lists, "words": {}, "sources": {}, "skeleton": f"{family}:1",
        "certificate": {"rows": rows(options)},
    }  # fmt: skip
    return made | more


def judged() -> list[Item]:
    return [herb(*told) for told in HERBS]


def plain() -> list[Item]:
    return [herb(label, latin) for label, latin, _, _ in HERBS]


def aggravating() -> list[Item]:
    verdicts = (("suits", "suits here"), ("aggravates", None), ("little", "little bearing"), ("partly", "partly suits"))
    return [herb(label, latin, *told) for (label, latin, _, _), told in zip(HERBS, verdicts, strict=True)]


def _made() -> dict[str, Item]:
    items = (
        item("best-fit", "choose", "Which of these expectorants suits this presentation best?", judged(), 0, told=True,
             reasons=REASONS, lists=4),
        item("would-aggravate", "choose", "Which of these expectorants would make this worse?", aggravating(), 1,
             told=True, reasons=REASONS, lists=4),
        item("point-of-difference", "choose", "Both are expectorants: on what do thyme and marshmallow part?",
             choices(("thyme dries and marshmallow moistens", None), ("thyme moistens and marshmallow dries", "reversed"),
                     ("thyme quiets and marshmallow stirs", "wrong movement"),
                     ("thyme stirs and marshmallow quiets", "wrong movement")),
             0, subject={"pair": ["a", "b"], "action": "expectorant"}),
        item("kinds", "match", "Which kind does each of these four expectorants belong to?", plain(), [0, 1, 2, 3],
             kinds=["cooling and moistening", "warming and drying", "warming and stirring", "cooling and relaxing"],
             subject={"action": "expectorant"}),
        item("order-by-fit", "rank", "In what order do these expectorants suit here, best first?", plain(), [0, 3, 1, 2],
             told=True, reasons=REASONS),
        item("place-on-the-plane", "place", "Where does mullein leaf sit on the plane of temperature and moisture?",
             [herb("mullein leaf", "Verbascum thapsus")], {"low": [-1, 0], "high": [0, 2]}, subject={"part": "m"}),
        item("name-the-state", "choose", "Which state of the tissue do these findings show?",
             choices(("arid heat", None), ("damp heat", "wrong moisture"), ("damp chill", "wrong temperature"),
                     ("slack chill", "invented quality")), 0, told=True),
        item("what-would-have-to-change", "choose", "Thyme herb does not suit here. Which change would make it right?",
             choices(("pale lips and a slow pulse in place of the red tongue and the quick pulse", None),
                     ("wet phlegm and a moist tongue in place of the parched throat and the thirst", "wrong axis"),
                     ("a limp voice and a weak cough in place of the tight chest and the cramps", "wrong way"),
                     ("some warmth and an easy pulse in place of the red tongue and the heat", "not far enough")),
             0, told=True, subject={"part": "t"}),
        item("taste-to-effect", "choose", "In the Galenic scheme, what do you expect of an herb that is sweet and bland?",
             choices(("warms and moistens", None), ("warms and dries", "wrong moisture"),
                     ("cools and moistens", "wrong temperature"), ("cools and dries", "both qualities reversed")),
             0, subject={"part": "l", "tradition": "galenic"}),
        item("caution", "choose", "For which of these people must the choice of liquorice root change?",
             choices(("somebody with high blood pressure", None), ("somebody with mild hay fever", "no caution here"),
                     ("somebody with an old sprain", "no caution here"), ("somebody with dry skin", "no caution here")),
             0, told=True, subject={"part": "l"}),
        item("preparation", "choose", "You have 100 g of dried leaf. How much tincture does a ratio of 1:5 give?",
             choices(("20 mL", "ratio taken the wrong way round"), ("400 mL", "added instead of made up to"),
                     ("500 mL", None), ("600 mL", "added instead of made up to")),
             2, subject={"kind": "ratio", "part": "m", "grams": 100}),
        item("new-finding", "lean", "You think of thyme and now learn of wet phlegm: does it fit more or less?",
             [herb("thyme herb", "Thymus vulgaris")], None, told=True),
    )  # fmt: skip
    return {made["family"]: made for made in items}


_MADE = _made()
FAMILIES = tuple(_MADE)


def specimen(family: str) -> Item:
    """A fresh copy of the clean item of a family."""
    return deepcopy(_MADE[family])
