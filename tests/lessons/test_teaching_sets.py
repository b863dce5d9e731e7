"""Teaching sets that instructors make: copied, previewed, saved with history, shared, taught under."""

import pytest
from django.urls import reverse

from herbs import catalogue
from herbs.catalogue import materia_medica
from herbs.models import TeachingSet
from herbs.teaching_sets import (
    InvalidSetError,
    SetConflictError,
    checked,
    copy_set,
    differences,
    save_set,
    set_document,
)
from lessons.bank import question_maker
from tests import people

pytestmark = pytest.mark.django_db
PART = "inula-helenium-root"


@pytest.fixture(autouse=True)
def no_compiled_set_outlives_the_rows():
    """Rolled-back sets take their compiled profiles with them."""
    catalogue._compiled.cache_clear()
    yield
    catalogue._compiled.cache_clear()


@pytest.fixture
def instructor():
    return people.instructor()


@pytest.fixture
def own(instructor):
    """A copy of the default set that belongs to the instructor."""
    return copy_set(original=TeachingSet.objects.get(is_default=True), name="Ours", by=instructor)


def page(client, user, name, *args, data=None, **query):
    client.force_login(user)
    address = reverse(f"lessons:{name}", args=args, query=query or None)
    return client.post(address, data) if data is not None else client.get(address)


def sent(teaching_set, *, overrides=(), base=None, name=None, roles=None, **buttons):
    """What the editor's form sends."""
    document = set_document(teaching_set)
    listed = roles or document["roles"]
    rows = [*document["overrides"], *overrides]
    data = {
        "name": name if name is not None else document["name"],
        "description": document["description"],
        "base": teaching_set.revision if base is None else base,
        "roles-TOTAL_FORMS": len(listed), "roles-INITIAL_FORMS": len(listed),
        "overrides-TOTAL_FORMS": len(rows), "overrides-INITIAL_FORMS": len(document["overrides"]),
    }  # fmt: skip
    for number, role in enumerate(listed):
        data |= {f"roles-{number}-tradition": role["tradition"], f"roles-{number}-role": role["role"],
                 f"roles-{number}-place": number + 1}  # fmt: skip
    for number, row in enumerate(rows):
        data |= {f"overrides-{number}-{key}": value for key, value in row.items()}
    return {**data, **buttons}


COLD_ROOT = {"row": PART, "axis": "temperature", "value": -3, "reason": "Our garden's root is taken fresh and cold."}


def test_a_copy_says_the_same_and_belongs_to_whoever_copied(own, instructor):
    default = TeachingSet.objects.get(is_default=True)
    assert differences(set_document(default), set_document(own)) == ["The name differs."]
    assert own.is_local and own.owner == instructor and own.copied_from == default and not own.is_default
    assert (materia_medica(own.slug).catalogue.value == materia_medica().catalogue.value).all()


def test_copying_from_the_page_leads_to_the_editor(client, instructor):
    answer = page(client, instructor, "teaching-set-copy", "contemporary-western", data={"name": "Hill school"})
    assert answer.url == reverse("lessons:teaching-set-edit", args=["hill-school"])
    assert TeachingSet.objects.get(slug="hill-school").owner == instructor


def test_two_copies_of_one_name_have_addresses_of_their_own(instructor):
    default = TeachingSet.objects.get(is_default=True)
    first, second = (copy_set(original=default, name="Compare", by=instructor) for _ in range(2))
    assert first.slug != second.slug
    assert "compare" not in (first.slug, second.slug)


def test_a_preview_shows_what_moves_and_saves_nothing(client, own, instructor):
    answer = page(client, instructor, "teaching-set-edit", own.slug, data=sent(own, overrides=[COLD_ROOT], preview="1"))
    body = answer.content.decode()
    assert answer.status_code == 200 and "before it is saved" in body
    assert {move.slug for move in answer.context["moved"]} == {PART}
    assert any("elecampane" in label for change in answer.context["keys"] for label in change.lost)
    own.refresh_from_db()
    assert own.revision == 1 and not own.overrides.exists()


def test_saving_makes_a_revision_and_moves_the_profile(client, own, instructor):
    answer = page(client, instructor, "teaching-set-edit", own.slug, data=sent(own, overrides=[COLD_ROOT], save="1"))
    assert answer.url == reverse("lessons:teaching-set-changes", args=[own.slug])
    own.refresh_from_db()
    assert own.revision == 2 and list(own.revisions.values_list("revision", flat=True)) == [2, 1]
    herbs = materia_medica(own.slug).catalogue
    assert herbs.value[herbs.row_number(PART), 0] == -3
    default = materia_medica().catalogue
    assert default.value[default.row_number(PART), 0] > 0


def test_what_changed_since_names_the_keys_that_fell(client, own, instructor):
    save_set(teaching_set=own, document={**set_document(own), "overrides": [COLD_ROOT]}, base=1, by=instructor)
    answer = page(client, instructor, "teaching-set-changes", own.slug, since="1", **{"class": "expectorant"})
    changed = answer.context["keys"]
    assert changed and all("elecampane root" in (*change.lost, *change.gained) or change.gained for change in changed)
    assert {move.slug for move in answer.context["moved"]} == {PART}
    before, after = question_maker().prover, question_maker(own.slug).prover
    assert before is not after


def test_saving_the_same_again_changes_nothing(own, instructor):
    document = {**set_document(own), "overrides": [COLD_ROOT]}
    assert save_set(teaching_set=own, document=document, base=1, by=instructor)
    assert not save_set(teaching_set=own, document=document, base=1, by=instructor)
    own.refresh_from_db()
    assert own.revision == 2


def test_somebody_who_started_earlier_overwrites_nothing(client, own, instructor):
    save_set(teaching_set=own, document={**set_document(own), "name": "Ours, mended"}, base=1, by=instructor)
    with pytest.raises(SetConflictError):
        save_set(teaching_set=own, document={**set_document(own), "name": "Theirs"}, base=1, by=instructor)
    answer = page(client, instructor, "teaching-set-edit", own.slug, data=sent(own, base=1, name="Theirs", save="1"))
    assert answer.status_code == 422
    assert "saved elsewhere" in answer.content.decode() and 'value="Theirs"' in answer.content.decode()
    own.refresh_from_db()
    assert own.name == "Ours, mended"


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"name": " "}, "Give the teaching set a name."),
        ({"roles": []}, "Give every tradition one role."),
        ({"overrides": [{**COLD_ROOT, "row": "no-such-part"}]}, "There is no part 'no-such-part'."),
        (
            {"overrides": [{**COLD_ROOT, "value": 5}]},
            f"The value of {PART}, temperature must be a number from −4 to +4.",
        ),
        ({"overrides": [{**COLD_ROOT, "reason": ""}]}, f"Give the reason for {PART}, temperature."),
        ({"overrides": [COLD_ROOT, COLD_ROOT]}, f"{PART}, temperature stands twice."),
        ({"overrides": [{**COLD_ROOT, "axis": ""}]}, f"Choose an axis for {PART}."),
    ],
)
def test_a_faulty_set_is_refused_with_a_sentence(own, change, sentence):
    with pytest.raises(InvalidSetError) as refusal:
        checked({**set_document(own), **change})
    assert sentence in refusal.value.sentences


def test_somebody_must_decide(own):
    roles = [{**role, "role": "shown"} for role in set_document(own)["roles"]]
    with pytest.raises(InvalidSetError, match="must decide"):
        checked({**set_document(own), "roles": roles})


def test_a_shipped_set_is_changed_by_nobody(client, instructor):
    shipped = TeachingSet.objects.get(is_default=True)
    assert page(client, instructor, "teaching-set-edit", shipped.slug).status_code == 403
    assert page(client, instructor, "teaching-set-share", shipped.slug, data={"username": "x"}).status_code == 403


def test_a_set_is_seen_by_its_owner_and_by_whom_it_is_shared_with(client, own, instructor):
    colleague = people.other_owner()
    assert page(client, colleague, "teaching-set-detail", own.slug).status_code == 404
    page(client, instructor, "teaching-set-share", own.slug, data={"username": colleague.username})
    assert page(client, colleague, "teaching-set-detail", own.slug).status_code == 200
    assert page(client, colleague, "teaching-set-edit", own.slug).status_code == 403
    page(client, instructor, "teaching-set-share", own.slug, data={"username": colleague.username, "stop": "1"})
    assert page(client, colleague, "teaching-set-detail", own.slug).status_code == 404


def test_a_set_is_not_shared_with_students(client, own, instructor):
    student = people.student()
    page(client, instructor, "teaching-set-share", own.slug, data={"username": student.username})
    assert not own.colleagues.exists()


def test_an_unshared_set_is_not_shown_by_an_address(client, own, instructor):
    save_set(teaching_set=own, document={**set_document(own), "overrides": [COLD_ROOT]}, base=1, by=instructor)
    address = reverse("herbs:herb-detail", args=["inula-helenium"], query={"set": own.slug})
    client.force_login(people.student())
    assert "Ours" not in client.get(address).content.decode()
    client.force_login(instructor)
    assert "Ours" in client.get(address).content.decode()


def test_a_course_is_taught_under_a_set_its_owner_may_see(client, own):
    owner = people.owner()
    course = people.course()
    answer = page(client, owner, "course-teaching-set", course.slug, data={"teaching_set": own.slug})
    course.refresh_from_db()
    assert course.teaching_set.is_default, "somebody else's set that was not shared"
    page(client, owner, "course-teaching-set", course.slug, data={"teaching_set": "after-culpeper"})
    course.refresh_from_db()
    assert answer.status_code == 302 and course.teaching_set.slug == "after-culpeper"


def test_a_load_leaves_sets_made_here_alone(own):
    from django.core.management import call_command

    call_command("load_materia_medica", verbosity=0)
    assert TeachingSet.objects.filter(slug=own.slug).exists()
