"""Every kind of fault is told with file and line, all at once, and nothing is changed."""

import pytest

from herbs.loading import FaultsError, read_files
from herbs.services import load_materia_medica

from .folders import GALIUM, INULA, replace, small_folder, stored

ACTIONS = "vocabulary/actions.yaml"
FIRST = "{degree: temperature, value: 2, source: common-practice}"
STRONG = "expectorant, strength: "
PUBLISHED = "{degree: movement, value: 2, source: cook-1869, seen: table"


@pytest.fixture
def folder(tmp_path):
    return small_folder(tmp_path)


def faults_of(folder):
    with pytest.raises(FaultsError) as refused:
        read_files(folder)
    return refused.value.faults


def the_fault(folder):
    faults = faults_of(folder)
    assert len(faults) == 1, list(map(str, faults))
    return faults[0]


ONE_LINE = {
    "alias": ("habit: daisy", "habit: *daisy", "undefined alias"),
    "list not closed": ("names: [\"elecampane", "names: [[\"elecampane", "not valid YAML"),
    "key twice": ("habit: daisy", "habit: daisy\nhabit: daisy", "The key 'habit' stands twice."),
    "wrong number": (FIRST, FIRST.replace("2", "5"), "value must be a number from -4 to 4, not 5."),
    "no number": (FIRST, FIRST.replace("value: 2, ", ""), "value must be a number from -4 to 4, not None."),
    "a word for a number": (FIRST, FIRST.replace("2", "hot"), "not 'hot'"),
    "a truth for a number": (FIRST, FIRST.replace("2", "yes"), "not True"),
    "not a number": (FIRST, FIRST.replace("2", ".nan"), "not nan"),
    "too strong": (STRONG + "3", STRONG + "4", "strength must be a number from 0 to 3"),
    "missing source": (FIRST, "{degree: temperature, value: 2}", "Unknown source None."),
    "unknown source": (FIRST, "{degree: temperature, value: 2, source: hearsay}", "Unknown source 'hearsay'."),
    "missing seen": (PUBLISHED, "{degree: movement, value: 2, source: cook-1869", "A published source needs seen"),
    "wrong seen": (PUBLISHED, "{degree: movement, value: 2, source: cook-1869, seen: dreamt", "A published source needs seen"),
    "seen of no source": (FIRST, FIRST[:-1] + ", seen: table}", "Only a published source can be seen"),
    "unknown action": ("{action: expectorant", "{action: expectorent", "Unknown action 'expectorent'."),
    "unknown affinity": ("{affinity: respiratory", "{affinity: gills", "Unknown affinity 'gills'."),
    "unknown taste": ("{taste: bitter", "{taste: bitterish", "Unknown taste 'bitterish'."),
    "unknown constituent": ("{constituent: inulin", "{constituent: phlogiston", "Unknown constituent 'phlogiston'."),
    "unknown state": ("{state: cold", "{state: tepid", "Unknown state 'tepid'."),
    "unknown person word": ("{caution: pregnancy", "{caution: giants", "Unknown caution 'giants'."),
    "unknown preparation": ("{preparation: decoction", "{preparation: pill", "Unknown preparation 'pill'."),
    "unknown site": ("strength: 3, site: respiratory", "strength: 3, site: gills", "Unknown site 'gills'."),
    "unknown form": (FIRST, FIRST[:-1] + ", form: frozen}", "Unknown form 'frozen'."),
    "unknown habit": ("habit: daisy", "habit: dais", "Unknown habit 'dais'."),
    "unknown usual form": ("usual_form: decoction", "usual_form: soup", "Unknown usual_form 'soup'."),
    "unknown status": ('status: []\nstatus_note: ""', 'status: [rare]\nstatus_note: "Seldom met."', "Unknown status 'rare'"),
    "status without a note": ("status: []", "status: [toxic]", "A status needs a status_note"),
    "unknown level": ("level: avoid", "level: shun", "A caution has a level"),
    "unknown key of a claim": (FIRST, FIRST[:-1] + ", colour: red}", "A claim of degree has no key 'colour'"),
    "unknown key of a part": ("usual_form: decoction", "usual_form: decoction\n  colour: red", "A part has no key 'colour'"),
    "unknown key of a herb": ("habit: daisy", "habit: daisy\ncolour: red", "A herb has no key 'colour'"),
    "two predicates": ("{taste: bitter,", "{taste: bitter, state: cold,", "A claim names exactly one of"),
    "duplicate claim": (FIRST, FIRST + "\n  - " + FIRST, "common-practice already says degree temperature here."),
    "unknown axis": (PUBLISHED, PUBLISHED.replace("movement", "humour"), "Unknown axis 'humour'"),
    "too long": ("{constituent: inulin", "{indication: " + "long " * 50, "longer than 200 characters"),
}  # fmt: skip


@pytest.mark.parametrize("kind", ONE_LINE)
def test_each_kind_of_fault_tells_file_and_line(folder, kind):
    old, new, sentence = ONE_LINE[kind]
    line = replace(folder, INULA, old, new)
    faults = faults_of(folder)
    assert all(fault.path == INULA for fault in faults)
    mine = [fault for fault in faults if sentence in fault.message]
    assert mine, list(map(str, faults))
    text = (folder / INULA).read_text(encoding="utf-8").splitlines()
    # A claim is told by its own line; what belongs to a herb, a part or an unclosed list by where that starts or ends.
    near = {line, line + 1, 1, next(n for n, row in enumerate(text, 1) if row.startswith("- part:"))}
    assert mine[0].line in ({line, line + 1} if "{" in old else near | {line - 1}), str(mine[0])
    assert mine[0].message.endswith((".", "text."))


def test_a_claim_is_told_by_its_very_line(folder):
    line = replace(folder, INULA, "{taste: bitter", "{taste: bitterish")
    assert str(the_fault(folder)) == f"{INULA}:{line}: Unknown taste 'bitterish'."


def test_an_alias_is_refused_with_the_line_of_what_it_repeats(folder):
    line = replace(folder, INULA, FIRST, "&first " + FIRST + "\n  - *first")
    fault = the_fault(folder)
    assert (fault.path, fault.line) == (INULA, line)
    assert "Aliases" in fault.message


def test_a_missing_axis_is_told_at_its_part(folder):
    text = (folder / INULA).read_text(encoding="utf-8")
    kept = [line for line in text.splitlines() if "degree: tone" not in line]
    (folder / INULA).write_text("\n".join(kept), encoding="utf-8")
    fault = the_fault(folder)
    assert fault.line == kept.index("- part: root") + 1
    assert fault.message.startswith("Nothing is said of tone")


def test_an_axis_said_only_of_a_form_or_a_site_is_still_missing(folder):
    for said, qualifier in (
        ("value: 1, source: common-practice", "form: fresh"),
        ("value: 0, source: cook-1869", "site: lungs"),
    ):
        replace(folder, INULA, "{degree: tone, " + said, "{degree: tone, " + qualifier + ", " + said)
    assert "Nothing is said of tone" in the_fault(folder).message


def test_a_part_without_a_caution_is_a_fault(folder):
    text = (folder / INULA).read_text(encoding="utf-8")
    (folder / INULA).write_text(
        "\n".join(line for line in text.splitlines() if "{caution:" not in line), encoding="utf-8"
    )
    assert the_fault(folder).message == "A part needs at least one caution."


def test_a_wrong_file_name_is_a_fault(folder):
    (folder / INULA).rename(folder / "herbs/elecampane.yaml")
    assert (
        str(the_fault(folder)) == "herbs/elecampane.yaml:1: The file must be named inula-helenium.yaml after its slug."
    )


def test_the_same_herb_in_two_files_is_a_fault(folder):
    (folder / "herbs/zz.yaml").write_bytes((folder / INULA).read_bytes())
    messages = [str(fault) for fault in faults_of(folder)]
    assert any(f"inula-helenium-root is already in {INULA}." in message for message in messages)


def test_a_file_that_is_not_utf_8_is_told_with_its_line(folder):
    content = (folder / INULA).read_bytes()
    (folder / INULA).write_bytes(content.replace(b"horse-heal", b"horse-h\xe9al"))
    fault = the_fault(folder)
    assert (fault.path, fault.line) == (INULA, 5)
    assert fault.message == "The file is not UTF-8. Save it as UTF-8."


def test_a_file_too_large_is_refused_before_it_is_parsed(folder):
    (folder / INULA).write_text("# " + "x" * 256 * 1024 + "\n[", encoding="utf-8")
    assert str(the_fault(folder)) == f"{INULA}:1: The file is larger than 256 kB. Split it."


@pytest.mark.parametrize("content", ["", "# only a remark\n"])
def test_an_empty_file_is_a_fault(folder, content):
    (folder / INULA).write_text(content, encoding="utf-8")
    assert str(the_fault(folder)) == f"{INULA}:1: The file is empty."


@pytest.mark.parametrize("content", ["a list:\n- of\n", "- one\n- two\n", "a word"])
def test_a_file_that_is_no_herb_is_a_fault(folder, content):
    (folder / INULA).write_text(content, encoding="utf-8")
    assert {fault.path for fault in faults_of(folder)} == {INULA}


@pytest.mark.parametrize("content", ["[" * 2000 + "]" * 2000, "{a: " * 1500 + "1" + "}" * 1500, "- " * 40 + "x"])
def test_a_file_that_nests_too_deeply_is_a_fault(folder, content):
    (folder / INULA).write_text(content, encoding="utf-8")
    assert "nest" in the_fault(folder).message


def test_a_herb_file_may_not_run_anything(folder, tmp_path):
    replace(folder, INULA, "slug: inula-helenium", f'slug: !!python/object/apply:os.mkdir ["{tmp_path}/ran"]')
    assert faults_of(folder)
    assert not (tmp_path / "ran").exists()


def test_an_empty_folder_lists_everything_that_is_missing(tmp_path):
    told = {fault.path: fault.message for fault in faults_of(tmp_path)}
    assert told["herbs"] == "The folder holds no herb files."
    assert set(told) >= {ACTIONS, "vocabulary/sites.yaml", "vocabulary/sources.yaml", "teaching_sets.yaml"}


@pytest.mark.django_db
def test_all_faults_of_all_files_are_told_at_once_and_nothing_is_changed(folder):
    before = stored()
    expected = {
        (INULA, replace(folder, INULA, FIRST, FIRST.replace("2", "9"))),
        (INULA, replace(folder, INULA, "{taste: bitter", "{taste: bitterish")),
        (INULA, replace(folder, INULA, "{affinity: bronchi", "{affinity: gills")),
        (GALIUM, replace(folder, GALIUM, "{caution: kidney-disease", "{caution: kidney-trouble")),
        (ACTIONS, replace(folder, ACTIONS, "opposed: [antitussive]", "opposed: [coughing]")),
        ("teaching_sets.yaml", replace(folder, "teaching_sets.yaml", "role: widens", "role: whispers")),
        ("herbs/althaea-officinalis.yaml", replace(folder, "herbs/althaea-officinalis.yaml", "names: [", "names: [[")),
    }
    with pytest.raises(FaultsError) as refused:
        load_materia_medica(folder=folder)
    faults = refused.value.faults
    assert {(fault.path, fault.line) for fault in faults} >= {where for where in expected if "althaea" not in where[0]}
    assert {fault.path for fault in faults} == {path for path, _ in expected}
    assert faults == sorted(faults)
    assert str(refused.value).splitlines() == [str(fault) for fault in faults]
    assert stored() == before
