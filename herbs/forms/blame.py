"""Which field a fault of the files' rules is about, and how it is said beside that field."""

from collections.abc import Mapping

from .words import SUBJECTS, P

# (how the rule's message starts, the field, what is said instead, or "" to say it as it is)
ROW = (
    ("Unknown source None", "source", "Choose a source."),
    ("Unknown source", "source", "There is no such source. Choose one from the list."),
    ("A published source needs", "seen", "Say whether this was read in a table of the source or comes from memory."),
    ("Only a published source", "seen", "Only a published source can be read or recalled: choose “not a text”."),
    ("Unknown form", "form", "There is no such form. Choose one from the list."),
    ("Unknown site", "site", "There is no such place. Choose one from the list."),
    ("Unknown axis", "subject", ""),
    ("Unknown menstruum", "menstruum", "There is no such menstruum. Choose one from the list."),
    ("A ratio", "ratio", "Write the ratio as 1:5, herb to menstruum."),
    ("A dose band has", "low", "A dose needs where it starts, where it ends, and a unit."),
    ("A dose band runs", "high", "A dose runs from the smaller figure to the larger."),
    ("This text is longer", "subject", "This is longer than 200 characters. Move the rest to the note."),
    ("value must", "amount", "Choose a degree from −4 to +4."),
    ("strength must", "amount", "Choose a strength from 0 to 3."),
    ("alcohol must", "alcohol", "Alcohol is a number from 1 to 96."),
    ("low must", "low", "A dose is a number from 0 to 500."),
    ("high must", "high", "A dose is a number from 0 to 500."),
    ("times must", "times", "How many times a day: a number from 1 to 8."),
    ("course must", "course", "The longest course is a number of days from 1 to 365."),
    ("age must", "age", "The age is a number of years from 1 to 20."),
    ("A claim names exactly one", "predicate", "Choose what is said."),
    ("This claim of", "subject", "Say what it is, or remove the row."),
)
PART = (
    ("A part starts with", "part", "Name the part used: root, leaf, whole herb."),
    ("The part '", "part", "Name the part in plain lower-case words."),
    ("The part ", "part", ""),
    ("A part needs a label", "label", "A label is missing: the English name and the part."),
    ("Unknown usual_form", "usual_form", "Choose how the part is usually taken."),
    ("name may", "part", ""),
    ("label may", "label", ""),
    ("drug_name may", "drug_name", ""),
    ("slug may", "part", "This name of the part is too long."),
)
HEAD = (
    ("slug must", "latin", "Give the Latin name: genus and species."),
    ("latin ", "latin", ""),
    ("slug may", "latin", "This Latin name is too long for an address."),
    ("author may", "author", ""),
    ("family ", "family", ""),
    ("name may", "name", ""),
    ("names needs", "name", "Give the English name that is used in labels."),
    ("Unknown habit", "habit", "Choose the habit of growth."),
    ("A status needs", "status_note", "Say why the plant is marked."),
)


def beside(message: str, table: tuple[tuple[str, str, str], ...]) -> tuple[str, str]:
    """(field, sentence) for a fault of a head or a part; the field is "" when it is about the whole."""
    for start, field, sentence in table:
        if message.startswith(start):
            return field, sentence or _said(message, field)
    return "", message


def beside_row(message: str, values: Mapping[str, str]) -> tuple[str, str]:
    """(field, sentence) for a fault of a claim with these values."""
    predicate = values.get("predicate", "")
    if message.startswith(f"Unknown {predicate} ") and predicate in P.values:
        if not values.get("subject"):
            return "subject", f"Choose: {SUBJECTS[P(predicate)][:1].lower()}{SUBJECTS[P(predicate)][1:]}."
        return "subject", f"There is no such {predicate}. Choose one from the list."
    if message.startswith("A caution has"):
        return ("reason", "Choose a reason.") if values.get("level") else ("level", "Choose a level, and a reason.")
    return beside(message, ROW)


def _said(message: str, field: str) -> str:
    return message.replace(f"{field} is missing.", "This is missing.") if message.startswith(field) else message
