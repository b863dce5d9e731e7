"""What the form of a herb sends, built from the page itself: every field as it is filled in there."""

import re
from html.parser import HTMLParser
from typing import Any

from django.test import Client
from django.urls import reverse

ADD = reverse("herbs:herb-add")


class FormReader(HTMLParser):
    """The fields of the form with an id, in order: (name, value) pairs as a browser without scripts would send them."""

    def __init__(self, form_id: str) -> None:
        super().__init__()
        self.form_id, self.inside, self.pairs = form_id, False, []
        self.buttons: list[str] = []
        self.select: str | None = None
        self.chosen: str | None = None
        self.area: list[Any] | None = None

    def handle_starttag(self, tag, attrs):
        had = dict(attrs)
        if tag == "form":
            self.inside = had.get("id") == self.form_id
        if not self.inside:
            return
        if tag == "button" and had.get("name") == "do":
            self.buttons.append(had["value"])
        elif tag == "select":
            self.select, self.chosen = had["name"], None
        elif tag == "option" and self.select and ("selected" in had or self.chosen is None):
            self.chosen = had.get("value", "")
        elif tag == "textarea":
            self.area = [had["name"], ""]
        elif tag == "input" and had.get("type") in ("checkbox", "radio"):
            if "checked" in had:
                self.pairs.append((had["name"], had.get("value", "on")))
        elif tag == "input" and "name" in had:
            self.pairs.append((had["name"], had.get("value") or ""))

    def handle_data(self, data):
        if self.area is not None:
            self.area[1] += data

    def handle_endtag(self, tag):
        if tag == "form":
            self.inside = False
        if tag == "select" and self.select:
            self.pairs.append((self.select, self.chosen or ""))
            self.select = None
        if tag == "textarea" and self.area is not None:
            self.pairs.append((self.area[0], self.area[1].strip("\n")))
            self.area = None


class HerbForm:
    """The herb's form as somebody without scripts has it before them."""

    def __init__(self, client: Client, address: str = ADD) -> None:
        self.client, self.address = client, address
        self.read(client.get(address))

    def read(self, response: Any) -> None:
        """Take in the form of an answer."""
        self.response = response
        self.text = response.content.decode()
        reader = FormReader("herb-form")
        reader.feed(self.text)
        self.pairs, self.buttons = reader.pairs, reader.buttons

    def __getitem__(self, name: str) -> str:
        return dict(self.pairs)[name]

    def fill(self, **values: str) -> "HerbForm":
        """Fill in fields by name; ``part__label`` and the like mean a field of the first part."""
        part = self["parts"]
        wanted = {name.replace("part__", f"{part}-"): value for name, value in values.items()}
        names = [name for name, _ in self.pairs]
        assert set(wanted) <= set(names), set(wanted) - set(names)
        self.pairs = [(name, wanted.get(name, value)) for name, value in self.pairs]
        return self

    def rows(self, predicate: str) -> list[str]:
        """The prefixes of the open rows of a predicate."""
        return [
            name.removesuffix("-predicate")
            for name, value in self.pairs
            if name.endswith("-predicate") and value == predicate
        ]

    def fill_row(self, predicate: str, number: int = 0, **values: str) -> "HerbForm":
        """Fill in the fields of an open row."""
        prefix = self.rows(predicate)[number]
        names = {name for name, _ in self.pairs}
        assert {f"{prefix}-{name}" for name in values} <= names, (predicate, values, sorted(names))
        self.pairs = [(name, values.get(name.removeprefix(f"{prefix}-"), value) if name.startswith(f"{prefix}-") else value)
                      for name, value in self.pairs]  # fmt: skip
        return self

    def press(self, do: str) -> "HerbForm":
        """Press a button of the form; what comes back is the new form, or a redirect."""
        assert do in self.buttons or do == "save-over", (do, self.buttons)
        self.read(self.post(do))
        return self

    def post(self, do: str, address: str = "", **headers: str) -> Any:
        """Send the form to an address as a button would."""
        data: dict[str, Any] = {"do": do}
        for name, value in self.pairs:
            data.setdefault(name, []).append(value)
        return self.client.post(address or self.address, data, headers=headers)

    @property
    def faults(self) -> list[str]:
        """Every sentence that stands beside a field or above the form."""
        found = re.findall(r'class="field-fault"[^>]*>(.*?)</(?:div|p)>|<strong>(.*?)</strong>', self.text, re.DOTALL)
        return [
            re.sub(r"<.*?>", "", one or other).strip()
            for one, other in found
            if re.sub(r"<.*?>", "", one or other).strip()
        ]


def described(client: Client, latin: str = "Inventa demonstrans") -> HerbForm:
    """The form for a new, invented herb, filled in as far as a drill needs."""
    form = HerbForm(client)
    form.fill(
        latin=latin, family="Inventaceae", name="demo wort", habit="mint", part__part="leaf", part__usual_form="dried"
    )
    for number, degree in enumerate(("-2", "2", "-1", "0")):
        form.fill_row("degree", number, amount=degree)
    form.fill_row("action", subject="expectorant", amount="3", site="respiratory")
    form.fill_row("affinity", subject="respiratory", amount="3")
    form.fill_row("caution", subject="pregnancy", level="avoid", reason="no-data")
    return form
