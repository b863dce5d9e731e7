"""Claims as sheets: out, in by way of a dry run, and safe to open."""

import datetime
import io
import zipfile

import openpyxl
import pytest
import tablib
from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from herbs.editing import document_of
from herbs.exchange import COLUMNS, import_claims, plan_import, read_sheet, sheet
from herbs.models import Claim, Herb, HerbEdit, Release
from herbs.sheets import UnreadableSheetError, escaped, unescaped, written
from tests import people

pytestmark = pytest.mark.django_db
EXCHANGE = reverse("herbs:exchange")
PART = "zingiber-officinale-rhizome"


@pytest.fixture
def client(db):
    return people.client_of(people.instructor())


@pytest.fixture(autouse=True)
def fresh_cache():
    yield
    cache.clear()


def ginger():
    return Herb.objects.for_monograph().get(slug="zingiber-officinale")


def claims(**limits):
    return Claim.objects.filter(**limits).select_related("part", "source").order_by("part__slug", "position")


def table(*rows, columns=("part", "predicate", "subject", "amount", "site", "source", "note", "remove")):
    return tablib.Dataset(*rows, headers=columns)


def csv_of(*rows, **how):
    return table(*rows, **how).export("csv").encode()


AFFINITY = (PART, "affinity", "joints", "2", "", "common-practice", "", "")
NEW = (PART, "action", "diuretic", "1", "urinary", "common-practice", "=1+1", "")
SAME = (PART, "affinity", "stomach", "3", "", "common-practice", "", "")
GONE = (PART, "taste", "aromatic", "", "", "common-practice", "", "yes")
WRONG = (PART, "action", "sneezing", "9", "nowhere", "common-practice", "", "")


# What goes out


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_all_claims_go_out_and_come_back_unchanged(kind):
    content = sheet(claims(), kind)
    plan = plan_import(read_sheet(f"claims.{kind}", content))
    assert plan.counts == {"unchanged": Claim.objects.count()} and plan.is_good and not plan.texts


def test_whole_numbers_print_without_a_point_and_stay_numbers():
    rows = read_sheet("x.csv", sheet(claims(part__slug=PART), "csv")).dict
    assert {str(row["amount"]) for row in rows} <= {"", *map(str, range(-4, 5))}
    book = openpyxl.load_workbook(io.BytesIO(sheet(claims(part__slug=PART, predicate="degree"), "xlsx")))
    amounts = [row[COLUMNS.index("amount")].value for row in list(book.active.rows)[1:]]
    assert amounts and all(isinstance(amount, int) for amount in amounts)


@pytest.mark.parametrize("text", ["=1+1", "+1 tea", "-a", "@x", "\tx", "\rx", "'=x", "''=x", "'-2x"])
def test_what_a_spreadsheet_could_run_is_escaped_and_comes_back(text):
    assert escaped(text) == f"'{text}" and unescaped(escaped(text)) == text


@pytest.mark.parametrize("value", ["-2", "2.5", "-0.5", "plain", "'quoted'", "a=b", "", 2, -2, 2.5, None])
def test_what_is_safe_stays_as_it_is(value):
    assert escaped(value) == value and unescaped(escaped(value)) == value


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_a_note_that_looks_like_a_formula_is_no_formula_in_the_file(kind):
    part = ginger().parts.get()
    first = part.claims.first()
    Claim.objects.filter(pk=first.pk).update(note='=HYPERLINK("http://example.org")')
    content = sheet(claims(part=part), kind)
    if kind == "csv":
        assert b"'=HYPERLINK" in content and b",=HYPERLINK" not in content
    else:
        cell = openpyxl.load_workbook(io.BytesIO(content)).active.cell(2, COLUMNS.index("note") + 1)
        assert cell.data_type == "s" and cell.value.startswith("'=HYPERLINK")
    again = plan_import(read_sheet(f"x.{kind}", content))
    assert again.counts["unchanged"] == part.claims.count()


def test_the_page_sends_one_herb_or_all(client):
    one = client.get(reverse("herbs:claims-export"), {"herb": "zingiber-officinale", "kind": "csv"})
    assert one["Content-Type"] == "text/csv" and one["Content-Disposition"].startswith(
        'attachment; filename="zingiber-officinale-'
    )
    rows = one.content.decode("utf-8-sig").splitlines()
    assert rows[0] == ",".join(COLUMNS) and len(rows) == 1 + ginger().parts.get().claims.count()
    everything = client.get(reverse("herbs:claims-export"), {"herb": "", "kind": "xlsx"})
    assert everything.content[:2] == b"PK"
    odd = client.get(reverse("herbs:claims-export"), {"herb": "no-such", "kind": "exe"})
    assert odd.status_code == 302


# What comes in


def test_a_dry_run_tells_of_every_row_and_writes_nothing():
    before = document_of(ginger())
    plan = plan_import(read_sheet("x.csv", csv_of(AFFINITY, NEW, SAME, GONE, WRONG)))
    assert [(row.number, row.kind) for row in plan.rows] == [
        (2, "changed"), (3, "new"), (4, "unchanged"), (5, "removed"), (6, "wrong"),
    ]  # fmt: skip
    assert plan.rows[0].changes == (("amount", 1, 2),)
    assert plan.rows[1].says == "slight diuretic, in the urinary tract"
    assert {
        "Unknown action 'sneezing'.",
        "Unknown site 'nowhere'.",
        "strength must be a number from 0 to 3, not 9.",
    } <= set(plan.rows[4].sentences)
    assert not plan.is_good
    assert document_of(ginger()) == before and HerbEdit.objects.count() == 0


def test_nothing_of_a_sheet_with_a_wrong_row_comes_in():
    before = document_of(ginger())
    plan, changed = import_claims(data=read_sheet("x.csv", csv_of(AFFINITY, WRONG)), by=people.owner())
    assert changed == 0 and plan.counts == {"changed": 1, "wrong": 1}
    assert document_of(ginger()) == before


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_a_sheet_comes_in_once_and_again_changes_nothing(kind):
    shipped, releases = document_of(ginger()), Release.objects.count()
    data = read_sheet(f"x.{kind}", written(table(AFFINITY, NEW, SAME, GONE), kind))
    plan, changed = import_claims(data=data, by=people.owner())
    assert changed == 1 and plan.counts == {"changed": 1, "new": 1, "unchanged": 1, "removed": 1}
    part = ginger().parts.get()
    assert part.claims.get(predicate="affinity", subject="joints", source__slug="common-practice").amount == 2
    new = part.claims.get(predicate="action", subject="diuretic", source__slug="common-practice")
    assert (new.amount, new.site, new.note) == (1, "urinary", "=1+1")
    assert not part.claims.filter(predicate="taste", subject="aromatic", source__slug="common-practice").exists()
    edits = HerbEdit.objects.filter(herb_slug="zingiber-officinale")
    assert [edit.kind for edit in edits] == ["imported", "shipped"] and edits[1].document == shipped
    assert edits[0].document == document_of(ginger()) and Release.objects.count() == releases + 1
    data = read_sheet("x.csv", csv_of(AFFINITY, NEW, SAME, GONE))
    plan, changed = import_claims(data=data, by=people.owner())
    assert changed == 0 and plan.counts == {"unchanged": 4}
    assert "There is no such claim to remove." in plan.rows[3].sentences
    assert HerbEdit.objects.count() == 2 and Release.objects.count() == releases + 1


def test_many_herbs_are_one_release():
    rows = [(slug, "affinity", "hands-and-feet", "1", "", "common-practice", "for a test", "")
            for slug in ("achillea-millefolium-herb", "althaea-officinalis-root", PART)]  # fmt: skip
    releases = Release.objects.count()
    _, changed = import_claims(data=read_sheet("x.csv", csv_of(*rows)), by=people.owner())
    assert changed == 3 and Release.objects.count() == releases + 1
    assert set(HerbEdit.objects.filter(kind="imported").values_list("summary", flat=True)) == {"from a sheet of claims"}


def test_a_herb_that_would_lose_what_it_needs_is_told_beforehand():
    rows = [(PART, "degree", "tone", "", "", source, "", "x") for source in ("common-practice",)]
    plan = plan_import(read_sheet("x.csv", csv_of(*rows)))
    assert plan.counts == {"removed": 1} and not plan.is_good
    assert plan.faults == (
        "Zingiber officinale: Nothing is said of tone; give a degree (0 for temperate) with its source.",
    )
    assert import_claims(data=read_sheet("x.csv", csv_of(*rows)), by=None)[1] == 0


def test_columns_that_are_left_out_stay_as_they_are():
    noted = ginger().parts.get().claims.exclude(note="").filter(predicate="affinity").first()
    noted = noted or ginger().parts.get().claims.filter(predicate="degree", source__basis="published").first()
    row = (PART, noted.predicate, noted.subject, noted.source.slug, "1")
    plan, changed = import_claims(
        data=read_sheet("x.csv", csv_of(row, columns=("part", "predicate", "subject", "source", "amount"))), by=None
    )
    assert plan.is_good, plan.rows
    after = Claim.objects.get(
        part__slug=PART, predicate=noted.predicate, subject=noted.subject, source=noted.source, form="", site=""
    )
    assert changed == 1 and (after.note, after.seen, after.amount) == (noted.note, noted.seen, 1)


@pytest.mark.parametrize(
    ("row", "sentence"),
    [
        (("no-such-part", *AFFINITY[1:]), "There is no part 'no-such-part'. Add the herb first, or mend the slug."),
        ((PART, "affinity", "joints", "2", "", "no-such", "", ""), "Unknown source 'no-such'."),
        ((PART, "affinity", "", "2", "", "common-practice", "", ""), "The subject is empty."),
        ((PART, "wish", "joints", "2", "", "common-practice", "", ""), "A claim names exactly one of"),
        ((PART, "degree", "tone", "warm", "", "common-practice", "", ""), "value must be a number from -4 to 4, not 'warm'."),
        ((PART, "degree", "tone", "nan", "", "common-practice", "", ""), "value must be a number"),
        ((PART, "taste", "bitter", "2", "", "common-practice", "", ""), "has no key 'amount'"),
        ((PART, "degree", "tone", "1", "", "cook-1869", "", ""), "A published source needs seen"),
    ],
)  # fmt: skip
def test_a_wrong_row_says_why(row, sentence):
    told = plan_import(read_sheet("x.csv", csv_of(row))).rows[0]
    assert told.kind == "wrong" and any(sentence in said for said in told.sentences), told


@pytest.mark.parametrize("amount", ["2", "2.0", "+2", " 2 ", 2, 2.0])
def test_numbers_are_read_however_a_spreadsheet_writes_them(amount):
    row = (*AFFINITY[:3], amount, *AFFINITY[4:])
    told = plan_import(read_sheet("x.xlsx", table(row).export("xlsx"))).rows[0]
    assert told.kind == "changed" and told.changes == (("amount", 1, 2),)


def test_a_ratio_that_a_spreadsheet_took_for_a_time_is_a_ratio_again():
    book = openpyxl.Workbook()
    book.active.append(["part", "predicate", "subject", "source", "ratio"])
    book.active.append([PART, "preparation", "syrup", "common-practice", datetime.time(1, 5)])
    out = io.BytesIO()
    book.save(out)
    plan = plan_import(read_sheet("x.xlsx", out.getvalue()))
    assert plan.rows[0].says == "syrup; 1:5" and plan.is_good


def test_semicolons_and_blank_rows_are_understood():
    text = "part;predicate;subject;source;amount\r\n;;;;\r\n" + f"{PART};affinity;joints;common-practice;2\r\n\r\n"
    plan = plan_import(read_sheet("x.csv", text.encode("utf-8-sig")))
    assert plan.counts == {"changed": 1}


def bomb():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/worksheets/sheet1.xml", b"0" * 60_000_000)
    return out.getvalue()


@pytest.mark.parametrize(
    ("name", "content", "sentence"),
    [
        ("x.txt", b"part", "Send a .csv or an .xlsx file."),
        ("x.csv", b"", "cannot be read as CSV"),
        ("x.csv", b"\xff\xfe\x00", "cannot be read as CSV"),
        ("x.xlsx", b"PK\x03\x04 broken", "cannot be read as XLSX"),
        ("x.xlsx", csv_of(AFFINITY), "cannot be read as XLSX"),
        ("x.xlsx", bomb(), "holds far more than a sheet of claims"),
        ("x.csv", b"part,predicate\n", "missing: source, subject"),
        ("x.csv", b"part,predicate,subject,source,magic\n", "unknown or named twice: magic"),
        ("x.csv", b"part,predicate,subject,source,source\n", "unknown or named twice: source"),
        ("x.csv", b"a" * 3_000_000, "larger than 2 MB"),
        ("x.csv", b"part,predicate,subject,source\n" + b"a,b,c,d\n" * 20_001, "more than 20,000 rows"),
    ],
)
def test_a_file_that_is_no_sheet_says_why(name, content, sentence):
    with pytest.raises(UnreadableSheetError, match=sentence.replace("(", r"\(")):
        read_sheet(name, content)


# The pages


def send(client, name, content):
    return client.post(EXCHANGE, {"file": SimpleUploadedFile(name, content)})


def test_a_sheet_is_shown_row_by_row_then_written_then_not_again(client):
    before = document_of(ginger())
    response = send(client, "claims.csv", csv_of(AFFINITY, NEW, SAME, GONE))
    preview = response["Location"]
    page = client.get(preview).content.decode()
    assert document_of(ginger()) == before
    assert "<del>1</del> becomes <ins>2</ins>" in page and "slight diuretic, in the urinary tract" in page
    for kind in ("New", "Changed", "Removed", "Unchanged"):
        assert f"<dt>{kind}</dt><dd>1</dd>" in page
    confirm = f"{preview}confirm/"
    assert confirm in page and client.get(confirm).status_code == 405
    assert "1 herb is changed." in client.post(confirm, follow=True).content.decode()
    after, edits = document_of(ginger()), HerbEdit.objects.count()
    assert after != before
    assert "taken in already" in client.post(confirm, follow=True).content.decode()
    assert document_of(ginger()) == after and HerbEdit.objects.count() == edits
    assert "Write these changes" not in client.get(preview).content.decode()


def test_a_wrong_sheet_has_no_button_and_cannot_be_confirmed(client):
    preview = send(client, "claims.csv", csv_of(AFFINITY, WRONG))["Location"]
    page = client.get(preview).content.decode()
    assert "Unknown action" in page and "Write these changes" not in page
    before = document_of(ginger())
    assert "Nothing was changed" in client.post(f"{preview}confirm/", follow=True).content.decode()
    assert document_of(ginger()) == before


def test_what_somebody_else_sent_is_not_there_for_me(client):
    preview = send(client, "claims.csv", csv_of(AFFINITY))["Location"]
    other = people.client_of(people.owner())
    before = document_of(ginger())
    assert "no longer kept" in other.get(preview, follow=True).content.decode()
    assert "no longer kept" in other.post(f"{preview}confirm/", follow=True).content.decode()
    assert document_of(ginger()) == before


def test_a_herb_s_file_is_shown_line_by_line_then_written(client):
    text = document_of(ginger()).replace("Zingiberaceae", "Zingiberaceae s.str.")
    preview = send(client, "zingiber-officinale.yaml", text.encode())["Location"]
    page = client.get(preview).content.decode()
    assert "<code>family: &quot;Zingiberaceae s.str.&quot;</code>" in page
    base = ginger().digest
    client.post(f"{preview}confirm/", {"base": base})
    assert ginger().family == "Zingiberaceae s.str."
    assert HerbEdit.objects.filter(herb_slug="zingiber-officinale").first().kind == "imported"


def test_a_herb_s_file_that_was_overtaken_is_not_written(client):
    text = document_of(ginger()).replace("Zingiberaceae", "Zingiberaceae s.str.")
    preview = send(client, "zingiber-officinale.yaml", text.encode())["Location"]
    response = client.post(f"{preview}confirm/", {"base": "an older digest"}, follow=True)
    assert "cannot be taken in as it is now" in response.content.decode() and ginger().family == "Zingiberaceae"


def test_a_new_herb_comes_in_by_its_file(client):
    text = (
        document_of(ginger())
        .replace("zingiber-officinale", "inventa-demonstrans", 1)
        .replace("Zingiber officinale", "Inventa demonstrans")
    )
    preview = send(client, "inventa.yml", text.encode())["Location"]
    assert "it would be added" in client.get(preview).content.decode()
    client.post(f"{preview}confirm/", {"base": ""})
    assert Herb.objects.get(slug="inventa-demonstrans").is_local


@pytest.mark.parametrize(
    "content",
    [
        b"\xff\xfe",
        b"slug: [",
        b"- a\n- b\n",
        b"a: &x 1\nb: *x\n",
        b"slug: x\nlatin: y\n",
        b"!!python/object:os.system {}",
    ],
)
def test_a_faulty_file_of_a_herb_is_told_by_line(client, content):
    page = client.get(send(client, "x.yaml", content)["Location"]).content.decode()
    assert "Line 1:" in page or "Line 2:" in page
    assert "Write these changes" not in page and "Add this herb" not in page


@pytest.mark.parametrize(
    ("name", "content", "sentence"),
    [
        ("x.exe", b"MZ", "Send a .csv, .xlsx or .yaml file."),
        ("x.csv", b"", "The file is empty."),
        ("x.csv", b"a" * 2_100_000, "larger than 2 MB"),
    ],
)
def test_a_file_that_cannot_be_one_is_refused_at_once(client, name, content, sentence):
    response = send(client, name, content)
    assert response.status_code == 200 and sentence in response.content.decode()
    assert client.post(EXCHANGE).status_code == 200


@pytest.mark.parametrize("who", ["stranger", "student", "assistant"])
def test_students_take_nothing_out_and_bring_nothing_in(client, who):
    preview = send(client, "claims.csv", csv_of(AFFINITY))["Location"]
    other, before = people.client_of(people.EVERYBODY[who]()), document_of(ginger())
    assert send(other, "claims.csv", csv_of(AFFINITY)).status_code == 403
    for address in (EXCHANGE, reverse("herbs:claims-export"), preview):
        assert other.get(address).status_code == 403
    assert other.post(f"{preview}confirm/").status_code == 403
    assert document_of(ginger()) == before
