"""A herb as it stands in the form: half-filled, faulty or whole; nothing that was typed is lost on the way."""

import json
import re
import secrets
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from django.http import QueryDict

from herbs.claim_lines import FIELDS, claim_line, claim_values, fields_of, in_words, one_line
from herbs.editing import check_herb
from herbs.engine import AXES
from herbs.loading import Fault
from herbs.loading.herb_files import HerbReader
from herbs.loading.vocabulary import SLUG
from herbs.loading.yaml_lines import Lined
from herbs.models import Claim
from herbs.names import fold

from .blame import HEAD, PART, beside, beside_row
from .claims import ClaimForm
from .heads import LISTS, HeadForm, PartForm, lines_of, paragraph
from .words import PREDICATES, Words

P = Claim.Predicate
KEY = re.compile(r"[a-z0-9]{1,12}")
UNNAMED = "unnamed-herb"
PART_FIELDS = ("part", "name", "label", "drug_name", "usual_form")
HEAD_TEXTS = ("latin", "author", "family", "name", "habit")
# What a new part starts with: what a drill needs of an herb, and how it is taken.
STARTING_ROWS: tuple[dict[str, str], ...] = (
    *({"predicate": P.DEGREE.value, "subject": axis} for axis in AXES),
    *({"predicate": predicate.value} for predicate in (P.ACTION, P.AFFINITY, P.CAUTION, P.PREPARATION)),
)


def new_key() -> str:
    """A key that tells a part or a row from the others of a form."""
    return secrets.token_hex(4)


@dataclass
class RowDraft:
    """One claim: ``values`` as texts by field; ``state`` open (fields), shut (a sentence) or gone (to be left out)."""

    words: Words
    part: str
    key: str
    values: dict[str, str]
    state: str = "shut"
    autofocus: bool = False
    faults: list[tuple[str, str]] = field(default_factory=list)

    @property
    def prefix(self) -> str:
        """What the names of its fields start with."""
        return f"{self.part}-{self.key}"

    @property
    def line(self) -> str:
        """The values as one text, for the hidden field of a row that is not open."""
        return json.dumps(self.values, ensure_ascii=False)

    @property
    def says(self) -> str:
        """The claim in words, or "" while it says nothing."""
        return in_words(self.values, self.words.bundle) if self.values.get("subject") else ""

    @property
    def is_whole(self) -> bool:
        """Whether the row, judged alone, is a claim without a fault."""
        return bool(self.values.get("subject")) and not self._judged()

    @property
    def cited(self) -> str:
        """Its source as it is cited."""
        return self.words.citation(self.values["source"]) if self.values.get("source") else ""

    @property
    def label(self) -> str:
        """What kind of claim it is, in words."""
        return (
            PREDICATES.get(P(self.values["predicate"]), "") if self.values.get("predicate") in P.values else "New claim"
        )

    @property
    def is_blank(self) -> bool:
        """Whether nothing was filled in but what a row may start with; such a row is left out."""
        return not set(self.values) - {"predicate", "source", "seen"}

    @cached_property
    def form(self) -> ClaimForm:
        """The row's fields, with its faults beside them."""
        form = ClaimForm(self.values, words=self.words, prefix=self.prefix, autofocus=self.autofocus)
        for name, sentence in self.faults:
            form.blame(name, sentence)
        return form

    def _judged(self) -> list[Fault]:
        faults: list[Fault] = []
        HerbReader("", self.words.bundle, faults).claim(claim_line(self.values))
        return faults

    def check(self) -> None:
        """Judge the row alone by the rules of the files; fields that are still empty are not blamed."""
        for fault in self._judged():
            name, sentence = beside_row(fault.message, self.values)
            if self.values.get(name) or name == "seen":
                self.faults.append((name, sentence))


@dataclass
class PartDraft:
    """One part with its claims."""

    words: Words
    key: str
    values: dict[str, str]
    rows: list[RowDraft]
    faults: list[tuple[str, str]] = field(default_factory=list)
    adding: str = P.ACTION.value

    @cached_property
    def form(self) -> PartForm:
        """Its fields, with faults beside them."""
        form = PartForm({f"{self.key}-{k}": v for k, v in self.values.items()}, prefix=self.key, words=self.words)
        return _blamed(form, self.faults)

    @property
    def title(self) -> str:
        """What to call it in the form."""
        return self.values.get("part") or "New part"

    @property
    def kept(self) -> list[RowDraft]:
        """The rows that will be claims."""
        return [row for row in self.rows if row.state != "gone" and not row.is_blank]

    def row(self, key: str) -> RowDraft | None:
        """The row of a key."""
        return next((row for row in self.rows if row.key == key), None)

    def add(self, values: Mapping[str, str], **how: Any) -> RowDraft:
        """A new open row at the end."""
        row = RowDraft(self.words, self.key, new_key(), dict(values), "open", **how)
        self.rows.append(row)
        return row


def _blamed(form: Any, faults: list[tuple[str, str]]) -> Any:
    form.full_clean()
    for name, sentence in faults:
        form.add_error(name if name in form.fields else None, sentence)
    return form


@dataclass
class Draft:
    """A herb in the form. ``slug`` is fixed once a herb is stored, and follows from the Latin name before."""

    words: Words
    head: dict[str, Any]
    parts: list[PartDraft]
    stored_slug: str = ""
    faults: list[tuple[str, str]] = field(default_factory=list)

    @property
    def slug(self) -> str:
        """The herb's address."""
        return self.stored_slug or fold(self.head.get("latin", "")).replace(" ", "-")

    @cached_property
    def form(self) -> HeadForm:
        """The head's fields, with faults beside them."""
        more = any(self.head.get(name) for name in (*LISTS, "status", "status_note"))
        return _blamed(HeadForm(self.head, words=self.words, more_open=more), self.faults)

    @property
    def adding_choices(self) -> list[tuple[str, str]]:
        """What a new row may say."""
        return [(predicate.value, label) for predicate, label in PREDICATES.items()]

    def part(self, key: str) -> PartDraft | None:
        """The part of a key."""
        return next((part for part in self.parts if part.key == key), None)

    def add_part(self) -> PartDraft:
        """A new part with the rows that a drill needs, common practice as their source; ``PartDraft.rows`` may be changed."""
        part = PartDraft(self.words, new_key(), dict.fromkeys(PART_FIELDS, ""), [])
        for values in STARTING_ROWS:
            part.add({**values, "source": self.words.common_practice})
        self.parts.append(part)
        return part

    @property
    def problems(self) -> int:
        """How many faults there are."""
        rows = sum(len(row.faults) for part in self.parts for row in part.rows)
        return len(self.faults) + rows + sum(len(part.faults) for part in self.parts)

    @property
    def wants(self) -> list[str]:
        """What it still lacks to come up in drills, sentence by sentence; empty for one that may."""
        said = []
        for part in self.parts:
            kinds = {row.values["predicate"] for row in part.kept if row.values.get("predicate") in P.values}
            missing = [word for kind, word in ((P.ACTION, "an action"), (P.AFFINITY, "a place")) if kind not in kinds]
            if missing:
                said.append(
                    f"Nothing names {' or '.join(missing)} for the {part.title}, so drills cannot ask about it yet."
                )
        return said

    def document(self, places: dict[int, Any] | None = None) -> Lined:
        """The herb as its file would be parsed. ``places`` is told which line stands for which part or row."""
        places = {} if places is None else places

        def lined(entry: dict[str, Any], place: Any) -> Lined:
            made = Lined(entry)
            made.line = len(places) + 1
            places[made.line] = place
            return made

        # Without a Latin name there is no address yet; the rest is judged all the same. So with a part without a name.
        slug = self.slug if SLUG.fullmatch(self.slug) else UNNAMED
        head = lined({"slug": slug, **{name: self.head.get(name, "") for name in HEAD_TEXTS if name != "name"}}, self)
        names = [self.head.get("name", ""), *lines_of(self.head.get("other_names", ""))]
        head["names"] = [name for name in names if name] if names[0] else []
        for name in ("synonyms", "old_names"):
            head[name] = lines_of(self.head.get(name, ""))
        head["status"], head["status_note"] = list(self.head.get("status", [])), self.head.get("status_note", "")
        head["parts"] = []
        for part in self.parts:
            values = part.values
            words = values.get("part", "").lower()
            entry = lined({"part": words or UNNAMED, "name": values.get("name") or words}, part)
            entry["label"] = values.get("label") or f"{names[0]} {words}".strip() or UNNAMED
            entry["drug_name"], entry["usual_form"] = values.get("drug_name", ""), values.get("usual_form", "")
            entry["claims"] = []
            for row in part.kept:
                claim = claim_line(row.values, len(places) + 1)
                places[claim.line] = row
                entry["claims"].append(claim)
            head["parts"].append(entry)
        return head

    def check(self) -> dict[str, Any] | None:
        """The herb's record, or None when something is wrong; faults then stand beside what they are about."""
        places: dict[int, Any] = {}
        record, faults = check_herb(self.document(places), self.words.bundle)
        if not SLUG.fullmatch(self.slug) or (not self.stored_slug and "-" not in self.slug):
            faults = [fault for fault in faults if not fault.message.startswith("latin is missing")]
            faults.append(Fault("", 1, "slug must"))
        nameless = {line for line, place in places.items() if isinstance(place, PartDraft) and not place.values["part"]}
        faults += [Fault("", line, "A part starts with") for line in sorted(nameless)]
        for fault in faults:
            place = places[fault.line]
            if isinstance(place, RowDraft):
                place.state = "open"
                place.faults.append(beside_row(fault.message, place.values))
            else:
                place.faults.append(beside(fault.message, PART if isinstance(place, PartDraft) else HEAD))
        return None if faults else record


def draft_of_record(words: Words, record: Mapping[str, Any]) -> Draft:
    """A stored herb in the form, every row shut."""
    head = {name: record[name] for name in (*HEAD_TEXTS, "status", "status_note")}
    head |= {name: "\n".join(record[name]) for name in LISTS}
    parts = []
    for number, entry in enumerate(record["parts"]):
        key = f"p{number}"
        values = {name: entry[name] for name in PART_FIELDS if name != "part"}
        values["part"] = str(entry["slug"]).removeprefix(f"{record['slug']}-").replace("-", " ")
        rows = [RowDraft(words, key, f"c{place}", claim_values(claim)) for place, claim in enumerate(entry["claims"])]
        parts.append(PartDraft(words, key, values, rows))
    return Draft(words, head, parts, record["slug"])


def fresh_draft(words: Words) -> Draft:
    """A herb that is about to be described: one part, with the rows that a drill needs."""
    draft = Draft(words, {}, [])
    draft.add_part()
    return draft


def posted_draft(words: Words, post: QueryDict, slug: str = "") -> Draft:
    """The herb as the form was sent, whatever it holds."""
    head: dict[str, Any] = {name: one_line(post.get(name, "")) for name in HEAD_TEXTS}
    head |= {name: "\n".join(lines_of(post.get(name, ""))) for name in LISTS}
    head |= {"status": post.getlist("status"), "status_note": paragraph(post.get("status_note", ""))}
    parts = [posted_part(words, post, key) for key in _keys(post, "parts")]
    return Draft(words, head, parts, slug)


def posted_part(words: Words, post: QueryDict, key: str) -> PartDraft:
    """One part as it was sent."""
    values = {name: one_line(post.get(f"{key}-{name}", "")) for name in PART_FIELDS}
    rows = [posted_row(words, post, key, row) for row in _keys(post, f"{key}-rows")]
    adding = post.get(f"{key}-adding", "")
    return PartDraft(words, key, values, rows, adding=adding if adding in P.values else P.ACTION.value)


def posted_row(words: Words, post: QueryDict, part: str, key: str) -> RowDraft:
    """One row as it was sent: its fields when it was open, else the line it was shut to."""
    prefix = f"{part}-{key}"
    for state in ("shut", "gone"):
        if f"{prefix}-{state}" in post:
            return RowDraft(words, part, key, _values_of(post.get(f"{prefix}-{state}", "")), state)
    predicate = post.get(f"{prefix}-predicate", "")
    names = fields_of(predicate) if predicate in P.values else ()
    values = {name: one_line(post.get(f"{prefix}-{name}", "")) for name in ("predicate", "subject", *names)}
    return RowDraft(words, part, key, {name: value for name, value in values.items() if value}, "open")


def _values_of(line: str) -> dict[str, str]:
    try:
        found = json.loads(line)
    except ValueError:
        return {}
    if not isinstance(found, dict):
        return {}
    return {name: one_line(found[name]) for name in FIELDS if isinstance(found.get(name), str) and found[name]}


def _keys(post: QueryDict, name: str) -> list[str]:
    return list(dict.fromkeys(key for key in post.getlist(name) if KEY.fullmatch(key)))
