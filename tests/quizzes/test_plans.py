"""Drill plans and forms: read, assembled, explained where they cannot be met, offered, and worked by students."""

import html
import re
import uuid
from collections import Counter

import pytest
from django.urls import reverse

from lessons import plans
from lessons.bank import question_maker
from lessons.engine.plan_conflicts import NoConflictError
from lessons.models import DrillPlan, Enrolment, Form, Item
from lessons.services import freeze_items
from quizzes.models import Attempt
from tests import factories, people
from tests.queries import assert_query_count

pytestmark = pytest.mark.django_db
BANK = {"best-fit": 24, "would-aggravate": 12, "point-of-difference": 12, "caution": 12}
PLAN = """title: Twelve of three kinds
length: 12
scope: all
demands:
  families:
    best-fit: 6
    would-aggravate: {least: 2}
    point-of-difference: {least: 1, most: 3}
    caution: 0
difficulty:
  bands:
  - {low: 0.5, most: 8}
  mean: {low: -1.5, high: 1}
key_at_most: 2
herb_at_most: 5
"""
FAULTY = """title: A plan <of> faults
length: 900
scope: [no-such-root]
colour: green
demands:
  families:
    no-such: 2
    best-fit: {least: 5, most: 3}
  planets: {mars: 1}
difficulty:
  mean: {low: 2, high: 1}
key_at_most: 0
"""


@pytest.fixture
def teacher(db):
    return people.client_of(people.instructor())


@pytest.fixture
def bank(db) -> list[Item]:
    """Sixty approved items, and drafts that no form may take."""
    maker = question_maker()
    made = [maker.make(family, seed) for family, count in BANK.items() for seed in range(1, count + 1)]
    freeze_items(contents=[maker.make("best-fit", seed) for seed in range(900, 905)], review="draft")
    return freeze_items(contents=made, review="approved")


def send(client, name, *args, **data):
    return client.post(reverse(f"quizzes:{name}", args=args), data)


def text_of(response) -> str:
    assert response.status_code == 200
    return html.unescape(response.content.decode())


def saved(text: str = PLAN) -> DrillPlan:
    return plans.save_plan(plan=plans.read_plan(text), by=people.instructor())


def form_of(row: DrillPlan) -> Form:
    form = plans.assemble_form(row=row, by=people.instructor(), code=uuid.uuid4()).form
    assert form is not None
    return form


def test_every_fault_of_a_plan_is_told_and_no_word_of_it_is_lost(teacher):
    answer = text_of(send(teacher, "plan-new", text=FAULTY))
    sentences = [
        "1 to 120", "no-such-root", "no field “colour”", "no “no-such” among the families", "no field “planets”",
        "at least 5 and at most 3", "low end lies above", "key_at_most is a whole number from 1",
    ]  # fmt: skip
    assert [sentence for sentence in sentences if sentence not in answer] == []
    (kept,) = re.findall(r"<textarea[^>]*>\n?(.*?)</textarea>", answer, re.DOTALL)
    assert kept.strip() == FAULTY.strip()
    assert 'aria-invalid="true"' in answer
    assert not DrillPlan.objects.exists()


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("title: [", "This is not valid YAML"),
        ("title: a\ntitle: b\nlength: 2", "Line 2: The key 'title' stands twice"),
        ("title: &a x\nlength: 2\nscope: [*a]", "aliases"),
        ("- a", "A drill plan is a mapping"),
        ('title: "a\\0b"\nlength: 2', "Give the plan a title"),
        ("title: 3\nlength: 2", "Give the plan a title"),
        ("title: a\nlength: 2\ndifficulty: {mean: {low: .nan}}", "number of logits"),
        ("[" * 5000, "Line 1:"),
    ],
)
def test_a_text_that_is_no_plan_is_told_where_it_fails(teacher, text, sentence):
    assert sentence.lower() in text_of(send(teacher, "plan-new", text=text)).lower()
    assert not DrillPlan.objects.exists()


def test_a_plan_is_saved_once_changed_and_read_back(teacher):
    first, second = (send(teacher, "plan-new", text=PLAN) for _ in range(2))
    row = DrillPlan.objects.get()
    assert first.url == second.url == reverse("quizzes:plan-detail", args=[row.slug])
    (shown,) = re.findall(
        r"<textarea[^>]*>\n?(.*?)</textarea>",
        text_of(teacher.get(reverse("quizzes:plan-edit", args=[row.slug]))),
        re.DOTALL,
    )
    assert plans.read_plan(shown) == plans.read_plan(PLAN) == plans.engine_plan(row)
    assert send(teacher, "plan-edit", row.slug, text=PLAN.replace("length: 12", "length: 13")).status_code == 302
    assert plans.engine_plan(DrillPlan.objects.get()).length == 13
    assert send(teacher, "plan-new", text=PLAN).url == reverse("quizzes:plan-detail", args=[f"{row.slug}-2"])


@pytest.mark.parametrize("text", list(plans.shipped_plans().values()))
def test_shipped_plans_can_be_read(medica, text):
    assert plans.read_plan(text).length >= 10


def test_a_plan_starts_from_a_shipped_one(teacher):
    for name, text in plans.shipped_plans().items():
        assert text.strip() in text_of(teacher.get(reverse("quizzes:plan-new"), {"from": name}))
    assert teacher.get(reverse("quizzes:plan-new"), {"from": "../settings"}).status_code == 200


def test_a_form_from_sixty_approved_items_meets_every_demand(teacher, bank):
    row, code = saved(), uuid.uuid4()
    for _ in range(2):
        response = send(teacher, "plan-assemble", row.slug, code=code)
        assert response.url == reverse("quizzes:form-detail", args=[code])
    form = Form.objects.get()
    items = [place.item for place in form.places.select_related("item")]
    assert (form.status, len(items), {item.review for item in items}) == ("met", 12, {"approved"})
    families = Counter(item.family for item in items)
    assert families["best-fit"] == 6
    assert families["would-aggravate"] >= 2
    assert 1 <= families["point-of-difference"] <= 3
    assert families["caution"] == 0
    assert sum(item.difficulty >= 500 for item in items) <= 8
    assert -1500 <= sum(item.difficulty for item in items) / 12 <= 1000
    part_of = {slug: row.part_slug for slug, row in question_maker().materia_medica.rows.items()}
    assert max(Counter(part_of[item.key_part] for item in items if item.key_part).values()) <= 2
    assert max(Counter(part for item in items for part in {part_of[slug] for slug in item.herbs}).values()) <= 5
    assert len({item.skeleton for item in items}) == 12
    places = Counter(item.key_position for item in items)
    assert max(places[n] for n in range(4)) - min(places[n] for n in range(4)) <= 1
    text = text_of(teacher.get(response.url))
    assert "meets its plan in every demand" in text
    assert re.findall(r"/drills/items/(\w{32})/", text) == [item.code for item in items]


def test_parallel_forms_have_no_item_in_common(teacher, bank):
    row = saved()
    assert send(teacher, "plan-assemble", row.slug, code=uuid.uuid4(), forms="2").url.endswith(f"/{row.slug}/")
    first, second = (set(form.items.values_list("pk", flat=True)) for form in Form.objects.all())
    assert len(first) == len(second) == 12
    assert not first & second
    assert "out of date" in text_of(
        teacher.post(reverse("quizzes:plan-assemble", args=[row.slug]), {"code": "x"}, follow=True)
    )


def test_a_plan_that_cannot_be_met_shows_the_conflict_and_the_nearest_plan_can_be_taken(teacher, bank):
    row = saved("title: Too many\nlength: 30\ndemands:\n  families:\n    caution: {least: 20}\n")
    text = text_of(send(teacher, "plan-assemble", row.slug, code=uuid.uuid4()))
    assert "No form can meet this plan" in text
    assert "These demands conflict" in text
    assert "The bank has 12 such items" in text
    assert not Form.objects.exists()
    (nearest,) = re.findall(r'<textarea[^>]*id="nearest"[^>]*>\n?(.*?)</textarea>', text, re.DOTALL)
    (demand,) = plans.read_plan(nearest).demands
    assert 0 < demand.least <= BANK["caution"]
    assert send(teacher, "plan-edit", row.slug, text=nearest).status_code == 302
    assert send(teacher, "plan-assemble", row.slug, code=uuid.uuid4()).status_code == 302
    families = Counter(Form.objects.get().items.values_list("family", flat=True))
    assert families.total() == 30
    assert families["caution"] >= demand.least


def test_where_the_conflict_is_not_found_in_time_that_is_told(teacher, monkeypatch):
    def too_slow(*args, **kwargs):
        raise NoConflictError("It could not be decided in time.")

    monkeypatch.setattr(plans, "explain", too_slow)
    row = saved("title: Nothing there\nlength: 3\n")
    response = teacher.post(reverse("quizzes:plan-assemble", args=[row.slug]), {"code": uuid.uuid4()}, follow=True)
    assert "No form was found" in text_of(response)


def test_an_empty_bank_meets_no_plan_and_says_what_it_holds(teacher):
    text = text_of(send(teacher, "plan-assemble", saved().slug, code=uuid.uuid4()))
    assert "No form can meet this plan" in text
    assert "0" in text.partition("These demands conflict")[0].partition("No form can meet")[2]


def test_a_form_is_offered_worked_to_the_end_and_shown_to_nobody_else(teacher, bank):
    form, student = form_of(saved()), people.client_of(people.student())
    start = reverse("quizzes:form-start", args=[form.code])
    assert student.post(start, {"code": uuid.uuid4()}).status_code == 404
    assert send(teacher, "form-offer", form.code, course=people.course().slug).status_code == 302
    assert "Set by your course" in text_of(student.get(reverse("quizzes:drill-list")))
    again = uuid.uuid4()
    for _ in range(2):
        assert student.post(start, {"code": again}).status_code == 302
    drill = Attempt.objects.get()
    assert [q.item_id for q in drill.questions.all()] == [place.item_id for place in form.places.all()]
    assert set(form.items.values_list("exposure", flat=True)) == {1}
    assert Item.objects.filter(exposure__gt=0).count() == 12
    for position in range(1, 13):
        factories.answered(factories.question(drill, position))
    assert "You scored 1000 of 1000" in text_of(student.get(reverse("quizzes:attempt-results", args=[drill.code])))
    for person in (people.other_student(), people.stranger(), people.other_owner()):
        client = people.client_of(person)
        assert client.post(start, {"code": uuid.uuid4()}).status_code == 404
        assert form.title not in text_of(client.get(reverse("quizzes:drill-list")))
        assert client.get(reverse("quizzes:attempt-results", args=[drill.code])).status_code == 404
    send(teacher, "form-offer", form.code, course="")
    assert student.post(start, {"code": uuid.uuid4()}).status_code == 404
    assert student.get(reverse("quizzes:attempt-results", args=[drill.code])).status_code == 200


def test_a_form_leaves_out_what_is_no_longer_approved(teacher, bank):
    form = plans.offer_form(form=form_of(saved()), course=people.course())
    student = people.client_of(people.student())
    first, *rest = form.places.all()
    Item.objects.filter(pk=first.item_id).update(review="retired", review_reason="Its key is doubted.")
    assert "11 questions, chosen for" in text_of(student.get(reverse("quizzes:drill-list")))
    assert "retired now, and left out" in text_of(teacher.get(reverse("quizzes:form-detail", args=[form.code])))
    student.post(reverse("quizzes:form-start", args=[form.code]), {"code": uuid.uuid4()})
    drill = Attempt.objects.get()
    assert [q.item_id for q in drill.questions.all()] == [place.item_id for place in rest]
    assert [q.position for q in drill.questions.all()] == list(range(1, drill.length + 1))
    Item.objects.filter(pk__in=[place.item_id for place in rest]).update(review="draft")
    response = student.post(reverse("quizzes:form-start", args=[form.code]), {"code": uuid.uuid4()})
    assert (response.status_code, Attempt.objects.count()) == (404, 1)


def test_a_form_goes_only_to_courses_one_teaches_and_none_is_taken_from_another(teacher):
    weekend = people.course(people.WEEKEND)
    form = factories.offered_form(weekend)
    elsewhere = reverse("quizzes:form-offer", args=[form.code])
    for slug in ("", people.EVENING):
        assert "you do not teach there" in text_of(teacher.post(elsewhere, {"course": slug}, follow=True))
    form.refresh_from_db()
    assert form.course == weekend
    own = factories.offered_form(people.course())
    response = teacher.post(reverse("quizzes:form-offer", args=[own.code]), {"course": people.WEEKEND}, follow=True)
    assert "Choose one of the courses you teach" in text_of(response)
    own.refresh_from_db()
    assert own.course == people.course()
    Enrolment.objects.create(user=people.instructor(), course=weekend, role=Enrolment.Role.ASSISTANT)
    assert "you do not teach there" in text_of(teacher.post(elsewhere, {"course": ""}, follow=True))


def test_students_see_neither_plans_nor_forms():
    form, client = factories.offered_form(people.course()), people.client_of(people.student())
    pages = [("plan-list", []), ("plan-new", []), ("plan-detail", [form.plan.slug]), ("plan-edit", [form.plan.slug])]
    for name, args in [*pages, ("form-detail", [form.code])]:
        assert client.get(reverse(f"quizzes:{name}", args=args)).status_code == 403
    for name, args in (("plan-assemble", [form.plan.slug]), ("form-offer", [form.code])):
        assert send(client, name, *args, code=uuid.uuid4(), course="").status_code == 403
    form.refresh_from_db()
    assert (Form.objects.count(), form.course) == (1, people.course())


@pytest.mark.parametrize("length", [2, 20])
def test_the_page_of_a_form_costs_the_same_queries_whatever_its_length(teacher, bank, length):
    form = form_of(saved(f"title: Of some length\nlength: {length}\n"))
    place = reverse("quizzes:form-detail", args=[form.code])
    teacher.get(place)
    # 1 session, 2 user, 3 whether the person teaches, 4 the form with plan and course, 5 its items, 6 courses taught,
    # 7 whether the person teaches (for the menu)
    with assert_query_count(7):
        teacher.get(place)


@pytest.mark.parametrize("count", [1, 6])
def test_the_page_of_a_plan_costs_the_same_queries_whatever_was_made_from_it(teacher, bank, count):
    row = saved("title: Small\nlength: 2\n")
    for _ in range(count):
        plans.offer_form(form=form_of(row), course=people.course())
    place = reverse("quizzes:plan-detail", args=[row.slug])
    teacher.get(place)
    # 1 session, 2 user, 3 whether the person teaches, 4 the plan, 5 approved items, 6 whether the person teaches (for the
    # menu), 7 forms with their courses
    with assert_query_count(7):
        teacher.get(place)
