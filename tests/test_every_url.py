"""Every address of the site, and what each person is answered there."""

import uuid

import pytest
from django.db import transaction
from django.http import HttpResponse
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from herbs.models import Part
from quizzes.models import Attempt
from tests import account_pages, factories, people
from tests.url_table import TABLE

pytestmark = pytest.mark.django_db

HTTP = ("GET", "POST")
PEOPLE = dict(zip(["no.", "str.", "stu.", "ass.", "ins.", "own.", "s.a.", "o.s.", "o.o.", "o.a."], [
    lambda: None, people.stranger, people.student, people.assistant, people.instructor, people.owner,
    people.administrator, people.other_student, people.other_owner, people.other_administrator,
], strict=True))  # fmt: skip
AGAIN = (reverse("account_reauthenticate"), reverse("mfa_reauthenticate"))


def rows() -> list[tuple[str, str, dict[str, str]]]:
    """(name, method, {person: answer}) of each line of the table."""
    found = []
    for line in TABLE.strip().splitlines()[1:]:
        name, method, *answers = line.split()
        found.append((name, method, dict(zip(PEOPLE, answers, strict=True))))
    return found


def names_of(resolver: URLResolver, namespace: str = "") -> list[str]:
    """The full names of all addresses; one without a name stands as its pattern."""
    found = []
    for entry in resolver.url_patterns:
        if isinstance(entry, URLResolver):
            inner = f"{namespace}{entry.namespace}:" if entry.namespace else namespace
            found += names_of(entry, inner)
        elif isinstance(entry, URLPattern):
            found.append(f"{namespace}{entry.name}" if entry.name else f"without a name: {entry.pattern}")
    return found


def path_of(name: str, drill: Attempt) -> str:
    """An address that exists, for a drill of the student's; without a name a pattern cannot be reached."""
    part = Part.objects.select_related("herb").order_by("slug").first()
    course, student = drill.course.slug, drill.student.username
    arguments = {
        "account_confirm_email": ["no-such-letter"],
        "account_reset_password_from_key": ["1", "no-such-letter"],
        "quizzes:member-drills": [course, student],
        "quizzes:attempt-detail": [drill.code],
        "quizzes:attempt-results": [drill.code],
        "quizzes:question-detail": [drill.code, 1],
        "quizzes:question-reading": [drill.code, 1],
        "quizzes:question-choice": [drill.code, 1],
        "quizzes:question-reason": [drill.code, 1],
        **{f"quizzes:{page}": [course] for page in ("course-grading", "regrade-preview", "course-regrade")},
        "lessons:course-detail": [course],
        "lessons:course-members": [course],
        "lessons:member-role": [course, student],
        "lessons:course-teaching-set": [course],
        "lessons:course-questions": [course],
        **{
            f"lessons:teaching-set-{page}": ["after-culpeper"]
            for page in ("detail", "copy", "edit", "changes", "share")
        },
        "lessons:herb-note": [part.herb.slug],
        "herbs:herb-detail": [part.herb.slug],
        "herbs:herb-as-told-by": [part.herb.slug],
        "herbs:part-detail": [part.slug],
        **{f"herbs:herb-{page}": [part.herb.slug] for page in ("edit", "remove", "history", "file", "pictures")},
        "herbs:edit-restore": [part.herb.slug, 1],
        "herbs:exchange-preview": ["no-such-file"],
        "herbs:exchange-confirm": ["no-such-file"],
        "herbs:picture-remove": [uuid.UUID(int=7)],
        "herbs:picture-file": [uuid.UUID(int=7), 320, "webp"],
        "herbs:class-detail": [factories.question(drill).item.action],
    }
    return reverse(name, args=arguments.get(name) or made_for(name, drill))


def made_for(name: str, drill: Attempt) -> list[object]:
    """The arguments of an address of the item bank, with what it names; made only when it is asked for."""
    if name in {f"quizzes:item-{page}" for page in ("detail", "review", "wording", "sibling")}:
        return [factories.banked_item().code]
    if name in {"quizzes:practice-next", "quizzes:practice-stop"}:
        return [factories.practice_session(drill.student).code]
    if name == "quizzes:regrade-undo":
        return [drill.course.slug, factories.regrade_of(drill.course).code]
    if name in {f"quizzes:plan-{page}" for page in ("detail", "edit", "assemble")}:
        return [factories.drill_plan().slug]
    if name in {f"quizzes:form-{page}" for page in ("detail", "offer", "start")}:
        return [factories.offered_form(drill.course).code]
    return []


def sent_with(method: str) -> dict[str, object]:
    """What our own forms would send; the forms of log-in find nothing that they know in it."""
    if method == "GET":
        return {}
    return {
        "action": "mixed", "length": 5, "code": str(uuid.uuid4()), "choice": 0, "reason": 0, "role": "assistant",
    }  # fmt: skip


def answer(name: str, method: str, who: str, drill: Attempt) -> tuple[HttpResponse, str]:
    """What a person is answered at an address, and the address. Nothing of it stays."""
    name, _, variant = name.partition("#")
    path = path_of(name, drill)
    with transaction.atomic():
        user = PEOPLE[who]()
        if variant == "answered":
            factories.answered(factories.question(drill))
        client = account_pages.confirmed(user) if user and "fresh" in variant else people.client_of(user)
        if user and "enrolled" in variant:
            account_pages.enrol(user)
        response = getattr(client, method.lower())(path, sent_with(method))
        transaction.set_rollback(True)
    return response, path


def told(response: HttpResponse, path: str) -> str:
    """An answer as the table writes it."""
    place = response.headers.get("Location", "")
    if response.status_code == 302 and place == f"{reverse('account_login')}?next={path}":
        return "in"
    if response.status_code == 302 and place.startswith(AGAIN):
        return "re"
    return str(response.status_code)


def test_the_table_names_every_address_and_no_other():
    named = set(names_of(get_resolver("config.urls")))
    listed = {name.partition("#")[0] for name, _, _ in rows()}
    assert listed == named, (
        f"missing from the table: {sorted(named - listed)}; not in config.urls: {sorted(listed - named)}"
    )


def test_the_table_tells_every_pair_once():
    listed = [(name, method) for name, method, _ in rows()]
    assert len(listed) == len(set(listed))
    assert {(name, method) for name in dict(listed) for method in HTTP} == set(listed)
    pairs = {(name, who) for name, _, answers in rows() for who in answers}
    assert len({name for name, _ in pairs}) > 40
    assert len(pairs) == len({name for name, _, _ in rows()}) * len(PEOPLE) > 400


@pytest.mark.parametrize(("name", "method", "expected"), [pytest.param(*row, id=" ".join(row[:2])) for row in rows()])
def test_what_each_person_is_answered(name, method, expected):
    drill = factories.attempt(people.student(), length=1)
    people.owner()  # so that the course keeps an owner, whoever asks
    found = {who: told(*answer(name, method, who, drill)) for who in PEOPLE}
    wrong = {who: (found[who], expected[who]) for who in PEOPLE if found[who] != expected[who]}
    assert not wrong, f"(found, expected): {wrong}"


@pytest.mark.parametrize("method", ["put", "patch", "delete", "trace"])
def test_no_address_of_ours_answers_a_method_that_it_does_not_know(method):
    drill = factories.attempt(people.student(), length=1)
    client = people.client_of(people.student())
    ours = {name for name, _, _ in rows() if "#" not in name and not name.startswith(("account_", "mfa_"))}
    assert len(ours) > 20
    for name in sorted(ours):
        assert getattr(client, method)(path_of(name, drill)).status_code == 405, name
