"""The audit of the writing sees each flaw seeded for it, and none in clean items."""

import io
import json
import sys
from collections import Counter

import pytest
from django.core.management import CommandError, call_command

from lessons.engine import FAMILIES as REGISTERED
from lessons.engine.audit import CHECKS, FORM_CHECKS, audit, audit_form, clang, flaws, uneven
from lessons.engine.packing import frozen

from .flaws import MUTATIONS
from .specimens import FAMILIES, specimen

BY_NAME = {check.__name__: check for check in CHECKS}
EACH = 5  # generated items of each family


def form_of(*families):
    """A clean form of choices, their keys spread over the places."""
    return [specimen(family) for family in families]


@pytest.mark.parametrize("family", FAMILIES)
def test_a_clean_item_has_no_flaw(family):
    assert flaws(specimen(family)) == []


@pytest.mark.parametrize(
    "mutation", MUTATIONS, ids=[f"{number}-{m.aim}-{m.family}" for number, m in enumerate(MUTATIONS)]
)
def test_a_seeded_flaw_is_seen_by_the_check_it_aims_at(mutation):
    check, item = BY_NAME[mutation.aim], specimen(mutation.family)
    assert check(item) is None
    mutation.change(item)
    sentence = check(item)
    assert sentence and sentence[0].isupper() and sentence.endswith(".")
    assert (mutation.aim, sentence) in [(flaw.name, flaw.sentence) for flaw in flaws(item)]
    assert sentence in audit(item)


def test_every_check_has_two_seeded_flaws_and_there_are_many():
    aimed = Counter(mutation.aim for mutation in MUTATIONS)
    assert set(aimed) == set(BY_NAME)
    assert min(aimed.values()) >= 2
    assert len(MUTATIONS) >= 60
    assert {mutation.family for mutation in MUTATIONS} == set(FAMILIES)


def test_specimens_are_of_every_registered_family_and_its_way_of_answering():
    assert set(REGISTERED) <= set(FAMILIES)
    assert {name: specimen(name)["response"] for name in REGISTERED} == {
        name: module.RESPONSE for name, module in REGISTERED.items()
    }


def test_a_flaw_tells_its_guideline():
    item = specimen("best-fit")
    item["stem"] = "Which of these expectorants does not suit here?"
    assert [(flaw.guideline, flaw.name) for flaw in flaws(item)] == [(17, "guideline_17_positive_stem")]


def test_checks_are_named_by_guideline_and_explained_in_their_order():
    assert list(BY_NAME) == sorted(BY_NAME)
    for name, check in BY_NAME.items():
        number = name.removeprefix("guideline_").split("_")[0].lstrip("0")
        assert check.__doc__.startswith(f"{number}: "), name


def test_a_vignette_can_be_read_alone():
    assert BY_NAME["guideline_11_proofread"]({"vignette": "A cough. A cold."}) is None
    assert BY_NAME["guideline_11_proofread"]({"vignette": "A cough. a cold."})


def test_reasons_of_the_first_release_are_read_too():
    item = specimen("best-fit")
    key, *others = item["because"]
    item |= {"because": key, "because_for": {str(number): reasons for number, reasons in enumerate(others)}}
    assert audit(item) == []
    item["because_for"]["1"][0]["text"] = ""
    assert "guideline_02_important_content" in {flaw.name for flaw in flaws(item)}


@pytest.mark.parametrize("family", sorted(REGISTERED))
def test_generated_items_have_no_flaw(maker, family):
    for seed in range(EACH):
        assert flaws(maker.make(family, seed)) == []


def test_a_clang_is_a_whole_word():
    assert clang("Some thyme. A mint.", ["thyme herb", "mint leaf"]) == "thyme"
    assert clang("A horsemint and some thymes", ["thyme herb", "mint leaf"]) is None


def test_uneven_is_a_matter_of_proportion():
    assert uneven(["rue", "marshmallow"])
    assert not uneven(["ginger root", "rose hip"])


# Forms.


def test_a_varied_form_of_independent_items_has_no_flaw():
    items = form_of("best-fit", "would-aggravate", "preparation", "order-by-fit", "new-finding")
    assert audit_form(items) == []
    assert audit_form([]) == []
    assert {check.__name__[:12] for check in FORM_CHECKS} == {"guideline_04", "guideline_20"}


def test_two_items_of_one_skeleton_are_told():
    first, second = form_of("best-fit", "would-aggravate")
    second["skeleton"] = first["skeleton"]
    found = audit_form([first, second])
    assert [(one.position, one.flaw.guideline) for one in found] == [(1, 4)]


@pytest.mark.parametrize("field", ["stem", "vignette"])
def test_an_item_that_names_the_answer_of_another_is_told(field):
    first, second = form_of("best-fit", "would-aggravate")
    second[field] += " Marshmallow root is at hand."
    assert [(one.position, one.flaw.guideline) for one in audit_form([first, second])] == [(1, 4)]
    second[field] = second[field].replace("Marshmallow root", "Marshmallow rootlet")
    assert audit_form([first, second]) == []


def test_keys_in_one_place_are_told():
    items = form_of("best-fit", "would-aggravate", "preparation")
    for item in items:
        item["key"] = 1
    assert [one.flaw.guideline for one in audit_form(items)] == [20]
    items[0]["key"], items[1]["key"] = 0, 3
    assert audit_form(items) == []


# The command.


def run(tmp_path, lines, *more):
    """(printed, complaint or None) for a file of lines."""
    path = tmp_path / "items.jsonl"
    path.write_text("".join(f"{line}\n" for line in lines), encoding="utf-8")
    out = io.StringIO()
    try:
        call_command("audit_items", str(path), *more, stdout=out, stderr=io.StringIO())
    except CommandError as error:
        return out.getvalue(), str(error)
    return out.getvalue(), None


def test_the_command_tells_of_clean_items(tmp_path):
    printed, complaint = run(tmp_path, [json.dumps(specimen(family)) for family in FAMILIES])
    assert complaint is None
    assert f"{len(FAMILIES)} items audited." in printed and "No guideline broken." in printed


def test_the_command_reads_the_frozen_form(tmp_path, maker):
    item = maker.make("best-fit", 7)
    assert run(tmp_path, [json.dumps(frozen(item))])[1] is None
    item["stem"] = f"{item['stem']} Please!"
    printed, complaint = run(tmp_path, [json.dumps(frozen(item))])
    assert "Line 1, best-fit, guideline 31:" in printed and complaint


def test_the_command_tells_line_family_guideline_and_a_summary(tmp_path):
    flawed = specimen("kinds")
    flawed["stem"] = "Which kind does each of these not belong to?"
    printed, complaint = run(tmp_path, [json.dumps(specimen("best-fit")), "", json.dumps(flawed)])
    assert "Line 3, kinds, guideline 17: The stem has a negative." in printed
    assert "     1  guideline_17_positive_stem" in printed
    assert complaint == "1 flaw; 1 of 2 items break a guideline alone."


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("{not json", "this is not JSON"),
        ("[1, 2]", "an item is a JSON object"),
        ('{"family": "kinds", "stem": "Which?"}', "has no options and no because"),
        (json.dumps(specimen("kinds") | {"form": 2}), "cannot be opened"),
        (json.dumps(specimen("kinds") | {"options": [1]}), "cannot be opened"),
    ],
)
def test_the_command_tells_of_a_bad_line_and_goes_on(tmp_path, line, told):
    printed, complaint = run(tmp_path, [line, json.dumps(specimen("caution"))])
    first = printed.splitlines()[0]
    assert first.startswith("Line 1: ") and told in first
    assert "1 item audited." in printed
    assert complaint == "1 line holds no readable item."


def test_the_command_audits_a_form_when_asked(tmp_path):
    twice = [json.dumps(specimen("preparation"))] * 2
    assert run(tmp_path, twice)[1] is None
    printed, complaint = run(tmp_path, twice, "--form")
    assert "Line 2, preparation, guideline 4: Item 2 has the skeleton of item 1." in printed and complaint


def test_the_command_reads_the_standard_input(monkeypatch):
    monkeypatch.setattr(sys, "stdin", io.StringIO(json.dumps(specimen("kinds")) + "\n"))
    out = io.StringIO()
    call_command("audit_items", "-", stdout=out)
    assert "1 item audited." in out.getvalue()


def test_the_command_tells_of_a_file_that_is_not_there(tmp_path):
    with pytest.raises(CommandError, match="There is no file"):
        call_command("audit_items", str(tmp_path / "absent.jsonl"))


def test_the_command_tells_how_far_it_is(tmp_path):
    path = tmp_path / "many.jsonl"
    path.write_text(f"{json.dumps(specimen('kinds'))}\n" * 1000, encoding="utf-8")
    told = io.StringIO()
    call_command("audit_items", str(path), stdout=io.StringIO(), stderr=told)
    assert "1000 lines read." in told.getvalue()
