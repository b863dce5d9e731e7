"""How hard an item should be before anybody has met it: features, a prior, and the item model it belongs to.

The prior is linear in the features (a linear logistic test model; G. H. Fischer, Acta Psychologica 37, 1973, 359-374). The
weights are judgement, in thousandths of a logit, and are there to be fitted once answers are in; 0 is an ordinary item.
"""

from collections.abc import Mapping
from typing import Any

from herbs.engine import AXES

BASE = {
    "best-fit": 0, "would-aggravate": -300, "point-of-difference": -200, "kinds": 400, "order-by-fit": 700,
    "place-on-the-plane": 0, "name-the-state": -100, "what-would-have-to-change": 600, "taste-to-effect": -400,
    "caution": -200, "preparation": 0, "new-finding": 500,
}  # fmt: skip
WEIGHTS = {
    "axes": 250,  # each needed axis after the first
    "follows": 350,  # each consequence to be told from its root
    "person": 200,  # something about the person that a caution turns on
    "constitution": 150,
    "mild": 150,  # severity 1: the signs are faint
    "close": 500,  # 0 to 1: how close the best distractor's fit comes to the key's
    "subtle": 200,  # each distractor whose fault is one of measure, not of direction
    "exchanged": 400,  # a distractor that takes the consequence for the root
    "unknown": 600,  # 0 to 1: how little the herbs shown are spoken of
    "steps": 300,  # steps of a sum after the first
}
SUBTLE = {"palliates only", "too weak", "too strong", "lacks the action here", "wrong place", "partly suits"}
EXCHANGED = {"root and consequence exchanged", "feeds the root"}
MEAN = 780  # of the weighted features over all families: taken off, so that an ordinary item has 0


def features(item: Mapping[str, Any]) -> dict[str, float]:
    """What makes an item hard, as plain figures; features that are 0 are left out."""
    found: dict[str, float] = {}
    told = item["presentation"]
    if told:
        degrees = [told["pattern"][axis] for axis in AXES]
        found["axes"] = sum(1 for entry in degrees if entry["degree"]) - 1
        found["follows"] = sum(1 for entry in degrees if entry["follows"])
        found["person"] = int(bool(told["person"]))
        found["constitution"] = int(any(told["constitution"].values()))
        found["mild"] = int(told["severity"] == 1)
    faults = [option["fault"] for option in item["options"] if option.get("fault")]
    found["subtle"] = sum(fault in SUBTLE for fault in faults)
    found["exchanged"] = int(any(fault in EXCHANGED for fault in faults))
    if item["family"] == "best-fit":
        low = item["options"][item["key"]]["fit"]["low"]
        others = [option["fit"]["high"] for n, option in enumerate(item["options"]) if n != item["key"]]
        found["close"] = round(min(1.0, max(0.0, 1 - (low - max(others)))), 2)
    if item.get("known"):
        found["unknown"] = round(1 - sum(item["known"]) / (100 * len(item["known"])), 2)
    if (item.get("subject") or {}).get("steps"):
        found["steps"] = item["subject"]["steps"] - 1
    return {name: value for name, value in found.items() if value}


def prior(item: Mapping[str, Any], found: Mapping[str, float]) -> int:
    """Difficulty in thousandths of a logit, from -4000 to 4000."""
    total = BASE.get(item["family"], 0) + sum(WEIGHTS[name] * value for name, value in found.items()) - MEAN
    return int(max(-4000, min(4000, round(total))))


def model(item: Mapping[str, Any]) -> str:
    """The item model: family x action x site x state x key x faults. Items of one model are thought equally hard."""
    told, subject = item["presentation"] or {}, item.get("subject") or {}
    key = ""
    if item["response"] == "choose":
        option = item["options"][item["key"]]
        key = option.get("part") or option["slug"]
    about = ",".join(str(value) for name, value in sorted(subject.items()) if isinstance(value, str))
    faults = ",".join(sorted(option["fault"] for option in item["options"] if option.get("fault")))
    shown = "" if item["response"] == "choose" else ",".join(sorted(row["part"] for row in item["certificate"]["rows"]))
    return "|".join(
        [
            item["family"],
            told.get("action", ""),
            told.get("site", ""),
            told.get("state", ""),
            key or shown,
            about,
            faults,
        ]
    )


def judged(item: Mapping[str, Any]) -> dict[str, Any]:
    """Features, prior and model of an item."""
    found = features(item)
    return {"features": found, "prior": prior(item, found), "model": model(item)}
