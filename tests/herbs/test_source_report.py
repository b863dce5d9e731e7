"""The report on how the working profiles stand to the sources, and the counts of claims by basis."""

import io

import pytest
from django.core.management import CommandError, call_command

from herbs.claims_summary import summary
from herbs.models import Basis, Claim, Release
from herbs.source_report import agreements, licensed, pairs_of, taste_checks

pytestmark = pytest.mark.django_db


def printed(name: str, *arguments: str) -> str:
    out = io.StringIO()
    call_command(name, *arguments, stdout=out)
    return out.getvalue()


def test_every_contrary_sign_has_its_reason(medica):
    contrary = [pair for told in agreements(medica) for pair in told.pairs if pair.is_contrary]
    assert len(contrary) >= 20
    assert not [(pair.part, pair.axis, pair.source) for pair in contrary if not pair.reason]


def test_every_reason_is_of_a_contrary_sign(medica):
    """A departure that no longer departs must go."""
    contrary = {(p.part, p.axis) for told in agreements(medica) for p in told.pairs if p.is_contrary}
    departures = {(entry["part"], entry["axis"]) for entry in medica.terms["departure"].values()}
    assert departures == contrary


def test_kappa_stands_beside_at_least_thirty_pairs_of_culpeper(medica):
    told = {(a.tradition, a.axis): a for a in agreements(medica)}
    for axis in ("temperature", "moisture"):
        found = told["Galenic-humoral", axis]
        assert found.kappa.n == len(found.pairs) >= 30
        assert found.kappa.low < found.kappa.value < found.kappa.high
        assert found.kappa.low > 0, "better than chance"
        assert found.same_side >= 0.6


def test_a_source_that_is_only_shown_is_compared_too(medica):
    assert pairs_of(medica, "chinese") and pairs_of(medica, "ayurvedic")


def test_practice_teaches_every_action_that_is_licensed(medica):
    assert not [entry for entry in licensed(medica) if not entry.is_taught]


def test_each_tradition_is_held_to_its_own_rule_of_tastes(medica):
    checks = {check.tradition: check for check in taste_checks(medica)}
    today, galenic = checks["Contemporary Western"], checks["Galenic-humoral"]
    assert today.held / today.looked_at > 0.7
    assert galenic.held / galenic.looked_at > 0.5
    assert all(len(check.exceptions) == check.looked_at - check.held for check in checks.values())
    assert ("capsicum-annuum-fruit", "temperature", 2.0, 4.0) in today.exceptions


def test_the_report_can_be_read_and_written(tmp_path):
    text = printed("compare_sources")
    assert text.startswith("# The materia medica beside its sources")
    for heading in (
        "## Degrees",
        "## Where a source says the contrary",
        "## Actions in official",
        "### Galenic-humoral",
    ):
        assert heading in text
    assert "no reason noted" not in text.lower()
    file = tmp_path / "report.md"
    assert "Written to" in printed("compare_sources", "--output", str(file))
    assert file.read_text(encoding="utf-8") == text


def test_the_counts_that_the_materia_medica_promises():
    found = summary()
    assert found.parts >= 160 and found.herbs >= 140
    assert found.claims == Claim.objects.count() >= 4000
    assert len([name for name, count in found.by_tradition.items() if count >= 40]) >= 5
    assert found.energetic_published / found.energetic >= 0.30
    assert found.parts_published >= 90
    assert found.by_basis.total() == found.claims
    assert set(found.by_basis) <= set(Basis.values)


def test_a_published_source_cited_from_memory_is_listed_with_what_is_from_memory():
    lines = printed("claims", "--basis", "memory").splitlines()
    recalled = Claim.objects.filter(seen="memory").count() + Claim.objects.filter(source__basis="memory").count()
    assert len(lines) == recalled
    assert any("[pharmacopoeia-of-china]" in line for line in lines)
    assert any("[contemporary-recalled]" in line for line in lines)
    assert not any("[culpeper-1653]" in line for line in lines)


def test_the_summary_prints_its_counts():
    found, text = summary(), printed("claims", "--summary")
    assert f"{found.herbs} species, {found.parts} parts, {found.claims} claims." in text
    assert f"({100 * found.energetic_published / found.energetic:.1f} %)" in text


@pytest.mark.parametrize(("name", "arguments"), [("claims", ["--summary"]), ("compare_sources", [])])
def test_an_empty_materia_medica_says_what_to_do(name, arguments):
    Claim.objects.all().delete()
    Release.objects.all().delete()
    with pytest.raises(CommandError, match="The materia medica is empty"):
        call_command(name, *arguments)
