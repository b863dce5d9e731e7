"""Commands on items: generate, check, audit, and what a change of data does to stored ones."""

import json
import uuid
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.utils import timezone

from herbs.engine import AXES
from herbs.models import Claim, Part, Release
from lessons.bank import question_maker
from lessons.engine import FAMILIES, LARGEST, Constraints, opened
from lessons.models import Item
from tests import factories, people
from tests.queries import assert_query_count

pytestmark = pytest.mark.django_db


def run(name: str, *args: object, **options: object) -> tuple[str, str]:
    """What a command prints, and what it says on the side."""
    out, err = StringIO(), StringIO()
    call_command(name, *args, stdout=out, stderr=err, **options)
    return out.getvalue(), err.getvalue()


@pytest.fixture
def lines(medica: object) -> list[str]:
    """Two frozen items of every family."""
    printed, _ = run("generate_items", family="all", count=2)
    return printed.splitlines()


def test_every_family_is_listed_by_help_and_printed(lines):
    assert [json.loads(line)["family"] for line in lines] == [name for name in FAMILIES for _ in range(2)]
    assert max(len(line.encode()) for line in lines) <= LARGEST
    help_text = StringIO()
    from lessons.management.commands.generate_items import Command

    Command().create_parser("manage.py", "generate_items").print_help(help_text)
    assert all(name in help_text.getvalue() for name in FAMILIES)


def test_a_finite_family_ends_with_a_word_and_no_item_twice(medica):
    printed, said = run("generate_items", family="place-on-the-plane", count=9999)
    items = printed.splitlines()
    assert f"exhausted at {len(items)}" in said
    assert len({json.loads(line)["subject"]["part"] for line in items}) == len(items) > 100


def test_opened_items_carry_texts_and_frozen_ones_codes(medica):
    opened, _ = run("generate_items", opened=True)
    assert json.loads(opened)["because"][0][0]["text"]
    frozen, _ = run("generate_items")
    assert isinstance(json.loads(frozen)["because"][0][0], str)


def test_items_are_banked_as_drafts(medica):
    run("generate_items", family="kinds", count=3, bank=True)
    assert list(Item.objects.values_list("family", "review")) == [("kinds", "draft")] * 3


@pytest.mark.parametrize("name", ["check_items", "audit_items"])
def test_good_items_pass_and_broken_lines_are_told(lines, tmp_path: Path, name):
    good = tmp_path / "items.jsonl"
    good.write_text("\n".join(lines))
    run(name, str(good))
    good.write_text("\n".join([*lines[:2], "no item", "{}"]))
    with pytest.raises((CommandError, SystemExit)):
        run(name, str(good))
    with pytest.raises(CommandError, match="no file"):
        run(name, str(tmp_path / "none.jsonl"))


def test_a_falsified_certificate_is_told_by_line(lines, tmp_path: Path):
    item = json.loads(lines[0])
    for row in item["certificate"]["rows"]:
        row[1] = [0, 0, 0, 0]
        del row[2:-1]
    place = tmp_path / "false.jsonl"
    place.write_text(json.dumps(item))
    out = StringIO()
    with pytest.raises(CommandError, match="1 of 1 items do not hold"):
        call_command("check_items", str(place), stdout=out, stderr=StringIO())
    assert "line 1: best-fit: " in out.getvalue()


def test_a_changed_claim_tells_which_items_fail(medica):
    item = factories.banked_item(review="approved")
    other = factories.banked_item(family="taste-to-effect", seed=3)
    assert "2 unchanged" in run("data_impact")[0]
    key = medica.rows[item.key_part]
    degrees = Claim.objects.filter(part__slug=key.part_slug, predicate="degree")
    for claim in degrees:
        claim.amount = -(claim.amount or 0.0)
        claim.save(update_fields=["amount"])
    latest = Release.objects.order_by("-id").first()
    Release.objects.create(
        data_version="turned",
        kind=latest.kind,
        vocabulary_digest=latest.vocabulary_digest,
        loaded_at=timezone.now(),
    )
    printed, _ = run("data_impact", retire=True)
    assert item.code in printed
    assert "1 retired" in printed
    item.refresh_from_db()
    other.refresh_from_db()
    assert (item.review, other.review) == ("retired", "draft")
    assert "no longer proved" in item.review_reason


def test_an_endless_family_makes_one_item_for_each_seed(medica):
    printed, said = run("generate_items", count=5, seed=11)
    items = [json.loads(line) for line in printed.splitlines()]
    assert [item["seed"] for item in items] == list(range(11, 16))
    assert said == ""
    assert run("generate_items", seed=13)[0] == f"{printed.splitlines()[2]}\n"


def test_a_case_that_cannot_be_written_shortens_no_bank(medica):
    """Fewer items than cases may be had, and then that is said, whatever was asked for."""
    every, said = run("generate_items", family="preparation", action="diuretic", count=9999)
    had = len(every.splitlines())
    cases = len(question_maker().cases("preparation", Constraints("diuretic")))
    assert f"exhausted at {had}" in said
    assert had <= cases
    assert run("generate_items", family="preparation", action="diuretic", count=had) == (every, "")
    printed, said = run("generate_items", family="preparation", action="diuretic", count=had + 1)
    assert (printed, f"exhausted at {had}" in said) == (every, True)


@pytest.mark.parametrize("family", FAMILIES)
def test_a_class_that_is_not_there_is_told(medica, family):
    with pytest.raises(CommandError, match=r"Choose (?:another|a wider) class"):
        run("generate_items", family=family, action="no-such")


def test_a_family_and_a_teaching_set_that_are_not_there_are_told_with_those_that_are(medica):
    with pytest.raises(CommandError, match="best-fit, would-aggravate"):
        run("generate_items", family="no-such")
    with pytest.raises(CommandError, match=r"Known: .*contemporary-western"):
        run("generate_items", teaching_set="no-such")


def test_items_of_the_bank_are_made_once(medica):
    for _ in range(2):
        run("generate_items", family="place-on-the-plane", count=4, bank=True)
    assert Item.objects.count() == 4
    stored = {json.dumps(item.content, sort_keys=True) for item in Item.objects.all()}
    printed, _ = run("generate_items", family="place-on-the-plane", count=4)
    assert {json.dumps(json.loads(line), sort_keys=True) for line in printed.splitlines()} == stored


def checked(lines: list[str], place: Path) -> str:
    """What check_items prints of lines, its last word included."""
    place.write_text("\n".join(lines), encoding="utf-8")
    out = StringIO()
    try:
        call_command("check_items", str(place), stdout=out, stderr=StringIO())
    except CommandError as error:
        out.write(str(error))
    return out.getvalue()


def test_both_forms_are_checked_and_counted_by_family(lines, tmp_path: Path):
    printed, _ = run("generate_items", family="all", count=1, opened=True)
    said = checked([*lines, *printed.splitlines()], tmp_path / "items.jsonl")
    assert [f"{family}: 3 checked" in said for family in FAMILIES] == [True] * len(FAMILIES)
    assert said.rstrip().endswith("Every key is proved by its certificate.")


def test_items_are_checked_from_the_standard_input(lines, monkeypatch):
    monkeypatch.setattr("sys.stdin", StringIO("\n".join(lines[:3])))
    assert "best-fit: 2 checked\nwould-aggravate: 1 checked" in run("check_items", "-")[0]


@pytest.mark.parametrize("family", FAMILIES)
def test_a_damaged_item_is_told_by_its_line_and_the_others_are_checked(lines, tmp_path: Path, family):
    good = next(line for line in lines if json.loads(line)["family"] == family)
    item = opened(json.loads(good))
    damaged = [
        item | {"options": [], "certificate": {"rows": []}},
        {name: value for name, value in item.items() if name != "family"},
        item | {"options": item["options"][:1], "key": item["key"]},
        item | {"because": [[]]},
    ]
    said = checked([*map(json.dumps, damaged), good, "{", "[]", '"x"'], tmp_path / "damaged.jsonl")
    told = {line.partition(":")[0] for line in said.splitlines() if line.startswith("line ")}
    assert {"line 1", "line 2", "line 4", "line 6", "line 7", "line 8"} <= told
    assert "line 5" not in told
    assert f"{family}: " in said
    assert "of 5 items do not hold. 3 lines are no items." in said


def test_bytes_that_are_no_text_and_a_file_without_items_are_told(tmp_path: Path):
    place = tmp_path / "bytes.jsonl"
    place.write_bytes(b"\xff\xfe\n")
    with pytest.raises(CommandError, match="1 lines are no items"):
        run("check_items", str(place))
    assert "There is no item in it" in checked(["", ""], place)


def changed_release() -> None:
    """Let what is compiled be compiled anew, as after a load: under a version of its own, since compiled ones are kept."""
    latest = Release.objects.order_by("-id").first()
    Release.objects.create(
        data_version=f"changed-{uuid.uuid4().hex}",
        kind=latest.kind,
        vocabulary_digest=latest.vocabulary_digest,
        loaded_at=timezone.now(),
    )


def test_a_part_that_is_gone_is_told_and_nothing_retired_unasked(medica):
    item = factories.banked_item(review="approved")
    part = Part.objects.get(slug=medica.rows[item.key_part].part_slug)
    Part.objects.filter(pk=part.pk).delete()
    changed_release()
    printed, _ = run("data_impact")
    assert f"{item.key_part} is no longer in the materia medica." in printed
    assert "1 lost a part" in printed
    item.refresh_from_db()
    assert item.review == "approved"


def test_figures_that_move_within_a_proof_leave_it_standing(medica):
    """Of the plane's two axes nothing changes; what is forgotten is the tone, which the item does not ask about."""
    for seed in range(1, 50):
        item = factories.banked_item(family="place-on-the-plane", seed=seed)
        row = item.opened["certificate"]["rows"][0]
        if row["value"][AXES.index("tone")]:
            break
        item.delete()
    claims = Claim.objects.filter(part__slug=medica.rows[row["part"]].part_slug, predicate="degree", subject="tone")
    assert claims.delete()[0] > 0
    changed_release()
    assert run("data_impact", retire=True)[0] == "1 hold with other figures\n0 retired.\n"
    item.refresh_from_db()
    assert item.review == "draft"


def test_drills_own_items_and_retired_ones_are_looked_at_only_when_asked(medica):
    factories.question(factories.attempt(people.student(), length=1))
    factories.banked_item(review="retired")
    assert run("data_impact")[0] == "No items.\n"
    assert run("data_impact", all=True)[0] == "2 unchanged\n"
    Item.objects.update(teaching_set="gone")
    assert run("data_impact", all=True)[0] == "2 without its teaching set\n"


@pytest.mark.parametrize("count", [1, 8])
def test_the_catalogue_is_asked_for_once_however_many_items_there_are(medica, count):
    for seed in range(1, count + 1):
        factories.banked_item(family="place-on-the-plane", seed=seed)
    # 1 items, 2 whether the teaching set is there, 3 and 4 data version and teaching set
    with assert_query_count(4):
        run("data_impact")
