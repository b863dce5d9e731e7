"""Commands on items: generate, check, audit, and what a change of data does to stored ones."""

import json
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.utils import timezone

from herbs.models import Claim, Release
from lessons.engine import FAMILIES, LARGEST
from lessons.models import Item
from tests import factories

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
