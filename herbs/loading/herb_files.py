"""Validation of one herb's file."""

import re
from typing import Any

from herbs.engine import AXES
from herbs.models import Claim, Term

from .faults import Fault
from .records import Bundle, digest
from .vocabulary import SLUG

HERB_KEYS = {
    "slug", "latin", "author", "family", "names", "synonyms", "habit", "status", "status_note", "old_names", "parts",
}  # fmt: skip
PART_KEYS = {"part", "name", "label", "drug_name", "usual_form", "claims"}
CLAIM_KEYS = {"site", "form", "source", "seen", "note"}
STATUSES = {"toxic", "restricted", "at-risk"}
LEVELS = {"contraindicated", "avoid", "monitor", "interaction"}
REASONS = {"harm-known", "harm-expected", "no-data"}
P = Claim.Predicate
SUBJECT_KIND = {
    P.ACTION: Term.Kind.ACTION,
    P.AFFINITY: Term.Kind.SITE,
    P.TASTE: Term.Kind.TASTE,
    P.CONSTITUENT: Term.Kind.CONSTITUENT,
    P.STATE: Term.Kind.STATE,
    P.CAUTION: Term.Kind.PERSON_WORD,
    P.PREPARATION: Term.Kind.PREPARATION,
    P.HARVEST: Term.Kind.SEASON,
    P.SOWING: Term.Kind.SOWING,
    P.CORRESPONDENCE: Term.Kind.CORRESPONDENCE,
}
# What a claim of a predicate says besides source, place, form and note.
OWN_KEYS = {
    P.DEGREE: {"value"},
    P.ACTION: {"strength"},
    P.AFFINITY: {"strength"},
    P.CAUTION: {"level", "reason"},
    P.PREPARATION: {"menstruum", "alcohol", "ratio", "low", "high", "unit", "times", "course"},
    P.HARVEST: {"age"},
}
UNITS = {"g", "ml", "drops"}
RATIO = re.compile(r"^1:\d{1,3}$")


class HerbReader:
    """Reads one parsed herb file against the vocabulary; every fault is appended to ``faults``."""

    def __init__(self, path: str, bundle: Bundle, faults: list[Fault]) -> None:
        self.path, self.bundle, self.faults = path, bundle, faults
        self.sources = {source["slug"]: source for source in bundle.sources}
        self.subjects = {predicate: bundle.slugs(kind) for predicate, kind in SUBJECT_KIND.items()}
        self.forms = bundle.slugs(Term.Kind.FORM)
        self.usual = {*self.forms, *bundle.slugs(Term.Kind.PREPARATION)}
        self.menstrua = bundle.slugs(Term.Kind.MENSTRUUM)
        self.habits = bundle.slugs(Term.Kind.HABIT)

    def fault(self, entry: Any, message: str) -> None:
        """Note a fault at an entry's line."""
        self.faults.append(Fault(self.path, getattr(entry, "line", 1), message))

    def read(self, document: Any) -> dict[str, Any] | None:
        """The herb as a record with its digest, or None when it is not a herb at all."""
        if not isinstance(document, dict):
            self.fault(document, "A herb's file is a mapping that starts with slug:, latin:, family:.")
            return None
        self._unknown(document, HERB_KEYS, "herb")
        slug = document.get("slug")
        if not isinstance(slug, str) or not SLUG.fullmatch(slug):
            self.fault(document, "slug must be lower-case words joined by hyphens.")
            return None
        for key in ("latin", "family"):
            if not isinstance(document.get(key), str) or not document[key]:
                self.fault(document, f"{key} is missing.")
        names = self._strings(document, "names")
        if not names:
            self.fault(document, "names needs at least the English name used in labels.")
        if document.get("habit") not in self.habits:
            self.fault(document, f"Unknown habit {document.get('habit')!r}.")
        status = self._strings(document, "status")
        for word in set(status) - STATUSES:
            self.fault(document, f"Unknown status {word!r}; use {', '.join(sorted(STATUSES))}.")
        if status and not document.get("status_note"):
            self.fault(document, "A status needs a status_note that says why.")
        parts = document.get("parts")
        if not isinstance(parts, list) or not parts:
            self.fault(document, "A herb needs at least one part.")
            parts = []
        herb: dict[str, Any] = {
            "slug": slug,
            "latin": str(document.get("latin", "")),
            "author": str(document.get("author") or ""),
            "family": str(document.get("family", "")),
            "name": names[0] if names else slug,
            "other_names": names[1:],
            "synonyms": self._strings(document, "synonyms"),
            "habit": str(document.get("habit", "")),
            "status": status,
            "status_note": str(document.get("status_note") or ""),
            "old_names": self._strings(document, "old_names"),
            "parts": [part for entry in parts if (part := self._part(slug, entry))],
        }
        slugs = [part["slug"] for part in herb["parts"]]
        if len(slugs) != len(set(slugs)):
            self.fault(document, "Two parts have the same name.")
        herb["digest"] = digest(herb)
        return herb

    def _part(self, herb: str, entry: Any) -> dict[str, Any] | None:
        if not isinstance(entry, dict) or not entry.get("part"):
            self.fault(entry, "A part starts with 'part:' and its name.")
            return None
        self._unknown(entry, PART_KEYS, "part")
        words = str(entry["part"]).replace(" ", "-")
        if not SLUG.fullmatch(words):
            self.fault(entry, f"The part {entry['part']!r} must be lower-case words.")
        if not entry.get("label"):
            self.fault(entry, "A part needs a label: the English name and the part.")
        if entry.get("usual_form") not in self.usual:
            self.fault(entry, f"Unknown usual_form {entry.get('usual_form')!r}.")
        claims = entry.get("claims")
        if not isinstance(claims, list):
            self.fault(entry, "A part needs a list of claims.")
            claims = []
        read, seen = [], set()
        for item in claims:
            claim = self.claim(item)
            if claim is None:
                continue
            key = tuple(claim[k] for k in ("predicate", "subject", "source", "form", "site"))
            if key in seen:
                self.fault(item, f"{claim['source']} already says {claim['predicate']} {claim['subject']} here.")
            else:
                seen.add(key)
                read.append(claim)
        said = {c["subject"] for c in read if c["predicate"] == P.DEGREE and not c["form"] and not c["site"]}
        for axis in [axis for axis in AXES if axis not in said]:
            self.fault(entry, f"Nothing is said of {axis}; give a degree (0 for temperate) with its source.")
        if not any(c["predicate"] == P.CAUTION for c in read):
            self.fault(entry, "A part needs at least one caution.")
        return {
            "slug": f"{herb}-{words}",
            "name": str(entry.get("name") or entry["part"]),
            "label": str(entry.get("label", "")),
            "drug_name": str(entry.get("drug_name") or ""),
            "usual_form": str(entry.get("usual_form", "")),
            "claims": read,
        }

    def claim(self, item: Any) -> dict[str, Any] | None:
        """One claim as a record, or None when it is not a claim at all."""
        found = [p for p in P if isinstance(item, dict) and p.value in item]
        if len(found) != 1:
            self.fault(item, f"A claim names exactly one of {', '.join(P.values)}.")
            return None
        predicate = found[0]
        self._unknown(
            item, CLAIM_KEYS | OWN_KEYS.get(predicate, set()) | {predicate.value}, f"claim of {predicate.value}"
        )
        subject, source = item[predicate.value], item.get("source")
        claim: dict[str, Any] = {
            "predicate": predicate.value, "subject": str(subject), "amount": None, "level": "", "reason": "",
            "form": str(item.get("form") or ""), "site": str(item.get("site") or ""), "source": str(source),
            "seen": str(item.get("seen") or ""), "note": str(item.get("note") or ""), "details": {},
        }  # fmt: skip
        if source not in self.sources:
            self.fault(item, f"Unknown source {source!r}.")
        elif self.sources[source]["basis"] == "published" and claim["seen"] not in ("table", "memory"):
            self.fault(item, "A published source needs seen: table (read) or seen: memory (recalled).")
        elif self.sources[source]["basis"] != "published" and claim["seen"]:
            self.fault(item, "Only a published source can be seen; leave seen out.")
        if claim["form"] and claim["form"] not in self.forms:
            self.fault(item, f"Unknown form {claim['form']!r}.")
        if claim["site"] and claim["site"] not in self.subjects[P.AFFINITY]:
            self.fault(item, f"Unknown site {claim['site']!r}.")
        if predicate == P.DEGREE:
            if subject not in AXES:
                self.fault(item, f"Unknown axis {subject!r}; the axes are {', '.join(AXES)}.")
            claim["amount"] = self._number(item, "value", -4, 4)
        elif predicate in (P.ACTION, P.AFFINITY):
            claim["amount"] = self._number(item, "strength", 0, 3)
        elif predicate == P.CAUTION:
            claim["level"], claim["reason"] = str(item.get("level")), str(item.get("reason"))
            if claim["level"] not in LEVELS or claim["reason"] not in REASONS:
                self.fault(
                    item,
                    f"A caution has a level ({', '.join(sorted(LEVELS))}) and a reason ({', '.join(sorted(REASONS))}).",
                )
        elif predicate in (P.PREPARATION, P.HARVEST):
            claim["details"] = self._details(item, predicate)
        if predicate in self.subjects and subject not in self.subjects[predicate]:
            self.fault(item, f"Unknown {predicate.value} {subject!r}.")
        if len(claim["subject"]) > 200:
            self.fault(item, "This text is longer than 200 characters; move the rest to a note.")
        return claim

    def _details(self, item: Any, predicate: Claim.Predicate) -> dict[str, Any]:
        """What a preparation or a harvest says further, as it stands in the file."""
        details = {key: item[key] for key in sorted(OWN_KEYS[predicate]) if item.get(key) is not None}
        limits = {
            "alcohol": (1, 96),
            "low": (0, 500),
            "high": (0, 500),
            "times": (1, 8),
            "course": (1, 365),
            "age": (1, 20),
        }
        for key, (least, most) in limits.items():
            if key in details:
                self._number(item, key, least, most)
        if "menstruum" in details and details["menstruum"] not in self.menstrua:
            self.fault(item, f"Unknown menstruum {details['menstruum']!r}.")
        if "ratio" in details and not RATIO.fullmatch(str(details["ratio"])):
            self.fault(item, "A ratio is written 1:5, herb to menstruum.")
        dose = {"low", "high", "unit"} & details.keys()
        if dose and (len(dose) < 3 or details["unit"] not in UNITS):
            self.fault(item, f"A dose band has low, high and a unit ({', '.join(sorted(UNITS))}).")
        elif dose:
            ends = [details["low"], details["high"]]
            if all(isinstance(end, int | float) for end in ends) and ends[0] > ends[1]:
                self.fault(item, "A dose band runs from low to high.")
        return details

    def _number(self, item: Any, key: str, low: float, high: float) -> float:
        value = item.get(key)
        if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
            self.fault(item, f"{key} must be a number from {low} to {high}, not {value!r}.")
            return 0.0
        return float(value)

    def _strings(self, entry: dict[str, Any], key: str) -> list[str]:
        value = entry.get(key) or []
        if not isinstance(value, list) or not all(isinstance(text, str) for text in value):
            self.fault(entry, f"{key} must be a list of words.")
            return []
        return list(value)

    def _unknown(self, entry: dict[str, Any], allowed: set[str], what: str) -> None:
        for key in entry:
            if key not in allowed:
                self.fault(entry, f"A {what} has no key {key!r}; it may have {', '.join(sorted(allowed))}.")
