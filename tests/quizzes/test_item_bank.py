"""The item bank: drafts made, read, approved, reworded, retired; plans and forms; what students meet of it."""

import uuid

import pytest
from django.urls import reverse

from lessons import plans
from lessons.engine import FAMILIES, NoValidItemError
from lessons.models import DrillPlan, Form, Item
from lessons.services import freeze_items
from quizzes import services
from quizzes.models import Attempt
from tests import factories, people
from tests.lessons.families.base import posted
from tests.queries import assert_query_count

pytestmark = pytest.mark.django_db


@pytest.fixture
def teacher(db):
    return people.client_of(people.instructor())


def page(client, name, *args, **query):
    return client.get(reverse(f"quizzes:{name}", args=args), query).content.decode()


def send(client, name, *args, **data):
    return client.post(reverse(f"quizzes:{name}", args=args), data)


def reviewed(item, after, reason=""):
    return {"after": after, "reason": reason}


def test_drafts_are_made_once_and_listed(teacher):
    code = uuid.uuid4()
    for _ in range(2):
        assert send(teacher, "item-make", family="kinds", action="diuretic", count=3, code=code).status_code == 302
    assert set(Item.objects.banked().values_list("family", "action", "review")) == {("kinds", "diuretic", "draft")}
    assert Item.objects.banked().count() == 3
    assert "3 items" in page(teacher, "item-list")
    assert "0 items" in page(teacher, "item-list", family="best-fit")


def test_a_class_without_such_questions_is_told_in_a_sentence(teacher):
    response = send(teacher, "item-make", family="kinds", action="demulcent", count=1, code=uuid.uuid4())
    assert "No question with a provable answer" in response.content.decode()
    assert not Item.objects.banked().exists()


@pytest.mark.parametrize("family", FAMILIES)
def test_an_item_is_read_with_reasons_audit_and_proof(teacher, family):
    item = factories.banked_item(family=family)
    text = page(teacher, "item-detail", item.code)
    assert "breaks none of the guidelines" in text
    assert "it holds" in text
    assert "(decisive)" in text


def test_an_approved_item_is_met_by_students_of_a_course_that_does_not_trust_its_kind(teacher):
    item = factories.banked_item(family="kinds")
    course = people.course()
    course.untrusted_families = ["kinds"]
    course.save()
    with pytest.raises(NoValidItemError):
        services.start_attempt(
            student=people.student(), code=uuid.uuid4(), action="", length=1, family="kinds", course=course
        )
    assert send(teacher, "item-review", item.code, **reviewed(item, "approved")).status_code == 302
    drill = services.start_attempt(
        student=people.student(), code=uuid.uuid4(), action="", length=1, family="kinds", course=course
    )
    assert factories.question(drill).item == item
    item.refresh_from_db()
    assert (item.review, item.exposure) == ("approved", 1)
    assert [(step.before, step.after, step.by) for step in item.reviews.all()] == [
        ("draft", "approved", people.instructor())
    ]


def test_a_retired_item_needs_a_reason_and_stays_retired(teacher):
    item = factories.banked_item()
    assert (
        "Say in a few words why"
        in send(teacher, "item-review", item.code, **reviewed(item, "retired")).content.decode()
    )
    send(teacher, "item-review", item.code, **reviewed(item, "retired", "The case is too easy."))
    response = send(teacher, "item-review", item.code, **reviewed(item, "approved"))
    assert "cannot become approved" in response.content.decode()
    item.refresh_from_db()
    assert (item.review, item.review_reason) == ("retired", "The case is too easy.")


def test_an_item_with_a_flaw_is_not_approved(teacher):
    content = factories.banked_item().opened | {"stem": "Which of these is not wrong?"}
    flawed = freeze_items(contents=[content], review="draft")[0]
    assert (
        "guideline is broken"
        in send(teacher, "item-review", flawed.code, **reviewed(flawed, "approved")).content.decode()
    )
    flawed.refresh_from_db()
    assert flawed.review == "draft"


def test_new_words_are_audited_and_become_a_draft_of_their_own(teacher):
    item = factories.banked_item(review="approved")
    words = {"stem": item.opened["stem"], "vignette": item.opened["vignette"]}
    lost = words["vignette"].replace(item.opened["presentation"]["findings"][0]["text"], "something")
    assert (
        "Keep the findings" in send(teacher, "item-wording", item.code, **words | {"vignette": lost}).content.decode()
    )
    bad = send(teacher, "item-wording", item.code, **words | {"stem": "Which of these is not bad?"})
    assert bad.status_code == 200
    assert Item.objects.banked().count() == 1
    stem = item.opened["stem"].replace("Which of these", "Which among these", 1)
    for _ in range(2):
        send(teacher, "item-wording", item.code, **words | {"stem": stem})
    item.refresh_from_db()
    (fresh,) = item.edits.all()
    assert (item.review, fresh.review, fresh.opened["stem"], fresh.earlier) == ("retired", "draft", stem, item)
    assert fresh.opened["certificate"] == item.opened["certificate"]


def test_a_sibling_is_another_question_about_the_same(teacher):
    item, code = factories.banked_item(), uuid.uuid4()
    for _ in range(2):
        assert send(teacher, "item-sibling", item.code, code=code).status_code == 302
    (sibling,) = item.siblings.all()
    assert (sibling.family, sibling.action, sibling.site, sibling.state) == (
        item.family,
        item.action,
        item.site,
        item.state,
    )
    assert sibling.content_hash != item.content_hash


def test_items_of_single_drills_and_students_are_kept_out(teacher):
    made = factories.question(factories.attempt(people.student(), length=1)).item
    assert teacher.get(reverse("quizzes:item-detail", args=[made.code])).status_code == 404
    student = people.client_of(people.student())
    assert student.get(reverse("quizzes:item-list")).status_code == 403
    assert student.get(reverse("quizzes:item-detail", args=[factories.banked_item().code])).status_code == 403


@pytest.mark.parametrize("count", [2, 20])
def test_the_list_costs_the_same_queries_whatever_its_length(teacher, count):
    for seed in range(1, count + 1):
        factories.banked_item(family="place-on-the-plane", seed=seed)
    page(teacher, "item-list")
    # 1 session, 2 user, 3 whether the person teaches, 4 and 5 data version and teaching set for the classes of one form,
    # 6 and 7 for those of the other, 8 count, 9 rows, 10 whether the person teaches (for the menu)
    with assert_query_count(10):
        page(teacher, "item-list")


def test_a_plan_is_read_with_every_fault_and_nothing_lost(teacher):
    text = "title: A plan\nlength: 900\ndemands:\n  families:\n    no-such: 2\n"
    answer = send(teacher, "plan-new", text=text).content.decode()
    assert "no-such" in answer
    assert "900" in answer
    assert "aria-invalid" in answer or "is-invalid" in answer
    assert not DrillPlan.objects.exists()


def test_a_form_is_assembled_offered_and_worked(teacher):
    for seed in range(1, 31):
        factories.banked_item(review="approved", seed=seed)
    send(teacher, "plan-new", text="title: Six\nlength: 6\ndemands:\n  families:\n    best-fit: 6\n")
    row, code = DrillPlan.objects.get(), uuid.uuid4()
    for _ in range(2):
        assert send(teacher, "plan-assemble", row.slug, code=code).status_code == 302
    form = Form.objects.get()
    assert (form.status, form.items.count()) == ("met", 6)
    assert len(set(form.items.values_list("skeleton", flat=True))) == 6
    student = people.client_of(people.student())
    start = reverse("quizzes:form-start", args=[form.code])
    assert student.post(start, {"code": uuid.uuid4()}).status_code == 404
    send(teacher, "form-offer", form.code, course=people.course().slug)
    assert "Set by your course" in student.get(reverse("quizzes:drill-list")).content.decode()
    again = uuid.uuid4()
    for _ in range(2):
        assert student.post(start, {"code": again}).status_code == 302
    drill = Attempt.objects.get(form=form)
    assert [q.item_id for q in drill.questions.all()] == [place.item_id for place in form.places.all()]
    assert people.client_of(people.other_student()).post(start, {"code": uuid.uuid4()}).status_code == 404


def test_a_plan_that_cannot_be_met_is_explained_and_the_nearest_taken(teacher):
    for seed in range(1, 5):
        factories.banked_item(review="approved", seed=seed)
    row = plans.save_plan(plan=plans.read_plan("title: Ten\nlength: 10\n"), by=people.instructor())
    text = send(teacher, "plan-assemble", row.slug, code=uuid.uuid4()).content.decode()
    assert "No form can meet this plan" in text
    assert "The nearest plan that can be met" in text
    found = plans.assemble_form(row=row, by=people.instructor(), code=uuid.uuid4())
    assert found.form is None
    nearest = plans.plan_text(found.conflict.nearest)
    assert send(teacher, "plan-edit", row.slug, text=nearest).status_code == 302
    assert send(teacher, "plan-assemble", row.slug, code=uuid.uuid4()).status_code == 302


@pytest.mark.parametrize("text", list(plans.shipped_plans().values()))
def test_shipped_plans_can_be_read(medica, text):
    assert plans.read_plan(text).length >= 10


@pytest.mark.parametrize("family", [name for name, module in FAMILIES.items() if not module.PANEL])
def test_a_student_works_every_kind_without_scripts(family):
    student = people.student()
    drill = services.start_attempt(student=student, code=uuid.uuid4(), action="", length=1, family=family)
    asked, client = factories.question(drill), people.client_of(student)
    item = asked.item.opened
    first = client.get(factories.address(asked)).content.decode()
    assert item["stem"].split("{")[0] in first.replace("&#x27;", "'").replace("&quot;", '"')
    assert "(decisive)" not in first
    assert all(
        option["fault"] not in first for option in item["options"] if option.get("fault") and " " in option["fault"]
    )
    empty = client.post(factories.address(asked, "choice"), {}, follow=True).content.decode()
    assert "before you lock" in empty
    client.post(factories.address(asked, "choice"), posted(item, 1))
    second = client.get(factories.address(asked)).content.decode()
    assert second.count('name="reason"') == len(item["because"][1 if len(item["because"]) > 1 else 0])
    client.post(factories.address(asked, "reason"), {"reason": 0})
    third = client.get(factories.address(asked)).content.decode()
    assert "By guessing" in third
    results = client.get(reverse("quizzes:attempt-results", args=[drill.code]))
    assert results.status_code == 200
