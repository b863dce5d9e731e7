"""The item bank: drafts made, read, approved, reworded, retired, and what students meet of it."""

import copy
import re
import uuid

import pytest
from django.urls import reverse

from herbs.models import Release
from lessons.bank import question_maker
from lessons.engine import FAMILIES, NoValidItemError
from lessons.items import ReviewError, edit_wording, retire_for_data, review_item
from lessons.models import Item
from lessons.services import freeze_items
from quizzes import services
from tests import factories, people
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
    facts = next(sentence for sentence in words["vignette"].split(". ") if "allergies" in sentence)
    unsafe = words["vignette"].replace(facts, "The person takes warfarin")
    assert (
        "cautions turn on" in send(teacher, "item-wording", item.code, **words | {"vignette": unsafe}).content.decode()
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
    # 1 session, 2 user, 3 whether the person teaches, 4 and 5 data version and teaching set for the classes, 6 count,
    # 7 rows, 8 whether the person teaches (for the menu)
    with assert_query_count(8):
        page(teacher, "item-list")


def test_the_list_is_filtered_and_nonsense_filters_nothing(teacher):
    banked = [("best-fit", "draft"), ("kinds", "draft"), ("kinds", "approved"), ("kinds", "retired")]
    items = [factories.banked_item(family=family, review=review, seed=n) for n, (family, review) in enumerate(banked)]
    heading = re.compile(r"<h2>(\d+) items?</h2>")
    filters = [
        ({}, items), ({"family": "kinds"}, items[1:]), ({"review": "draft"}, items[:2]),
        ({"family": "kinds", "review": "retired"}, items[3:]), ({"action": items[0].action}, None),
        ({"review": "generated"}, items), ({"family": "no-such", "action": "%00", "page": "x"}, items),
    ]  # fmt: skip
    for query, found in filters:
        found = [item for item in items if item.action == items[0].action] if found is None else found
        text = page(teacher, "item-list", **query)
        assert heading.findall(text) == [str(len(found))], query
        assert {item.code for item in items if item.code in text} == {item.code for item in found}


def test_the_next_page_keeps_the_filter(teacher):
    for seed in range(27):
        factories.banked_item(family="place-on-the-plane", seed=seed)
        if seed < 2:
            factories.banked_item(family="kinds", seed=seed)
    text = page(teacher, "item-list", family="place-on-the-plane")
    (following,) = re.findall(r'<a href="([^"]*)" rel="next">', text)
    text = teacher.get(following.replace("&amp;", "&")).content.decode()
    assert "27 items" in text
    assert len(re.findall(r'<th scope="row">', text)) == 2
    assert 'rel="prev"' in text


def test_after_a_fault_in_making_drafts_the_list_can_still_be_filtered(teacher):
    response = send(teacher, "item-make", family="kinds", count=99, code=uuid.uuid4())
    assert response.status_code == 200
    assert not Item.objects.exists()
    assert re.findall(r'<form method="get" action="([^"]*)"', response.content.decode()) == ["/drills/items/"]


@pytest.mark.parametrize("family", [name for name, module in FAMILIES.items() if not module.PANEL])
def test_a_draft_of_every_proved_family_is_approved_and_taken_back(teacher, family):
    item = factories.banked_item(family=family)
    assert "Approve for students" in page(teacher, "item-detail", item.code)
    for after in ("approved", "approved", "draft", "approved"):
        assert send(teacher, "item-review", item.code, **reviewed(item, after)).status_code == 302
    item.refresh_from_db()
    assert item.review == "approved"
    assert [step.after for step in item.reviews.all()] == ["approved", "draft", "approved"]
    assert "Take back to draft" in page(teacher, "item-detail", item.code)


@pytest.mark.parametrize("family", [name for name, module in FAMILIES.items() if module.PANEL])
def test_an_item_that_waits_for_a_panel_is_never_approved(teacher, family):
    item = factories.banked_item(family=family)
    assert "Approve for students" not in page(teacher, "item-detail", item.code)
    assert (
        "a panel has to answer"
        in send(teacher, "item-review", item.code, **reviewed(item, "approved")).content.decode()
    )
    item.refresh_from_db()
    assert (item.review, item.reviews.count()) == ("draft", 0)


def test_an_item_whose_proof_fails_is_not_approved():
    content = copy.deepcopy(question_maker().make("point-of-difference", 1))
    for row in content["certificate"]["rows"]:
        row |= {"value": [0, 0, 0, 0], "low": [0, 0, 0, 0], "high": [0, 0, 0, 0]}
    (item,) = freeze_items(contents=[content], review="draft")
    with pytest.raises(ReviewError, match="proof does not hold"):
        review_item(item=item, after="approved", reason="", by=people.instructor())
    assert Item.objects.get().review == "draft"


def test_what_was_retired_for_its_data_is_retired_once_and_never_a_drill_s_own():
    item, made = factories.banked_item(), factories.question(factories.attempt(people.student(), length=1)).item
    assert [retire_for_data(item=row) for row in (item, item, made)] == [True, False, False]
    made.refresh_from_db()
    assert made.review == "generated"


def test_words_taken_back_cannot_bring_a_retired_item_to_life(teacher):
    """The old words are those of the retired item: the newer draft must not be lost for it."""
    item, by = factories.banked_item(), people.instructor()
    stem, vignette = item.opened["stem"], item.opened["vignette"]
    fresh = edit_wording(
        item=item, stem=stem.replace("Which of these", "Which among these", 1), vignette=vignette, by=by
    )
    with pytest.raises(ReviewError, match="very words was retired"):
        edit_wording(item=fresh, stem=stem, vignette=vignette, by=by)
    assert {row.pk: row.review for row in Item.objects.all()} == {item.pk: "retired", fresh.pk: "draft"}


def test_the_same_new_words_sent_twice_lead_to_the_same_draft(teacher):
    item = factories.banked_item()
    words = {"stem": item.opened["stem"].replace("?", " now?"), "vignette": item.opened["vignette"]}
    first, second = (send(teacher, "item-wording", item.code, **words) for _ in range(2))
    assert first.url == second.url == reverse("quizzes:item-detail", args=[item.edits.get().code])
    assert (
        "This item is retired"
        in send(
            teacher, "item-wording", item.code, **words | {"stem": item.opened["stem"].replace("?", " then?")}
        ).content.decode()
    )
    assert Item.objects.count() == 2


def test_the_same_words_are_no_edit(teacher):
    item = factories.banked_item(review="approved")
    words = {"stem": f"  {item.opened['stem']} ", "vignette": item.opened["vignette"].replace(". ", ".\r\n", 1)}
    response = send(teacher, "item-wording", item.code, **words)
    assert response.url == reverse("quizzes:item-detail", args=[item.code])
    assert Item.objects.get().review == "approved"


@pytest.mark.parametrize(
    ("family", "told"),
    [
        ("preparation", lambda item: re.search(r"\d+(?= (?:mL|g)\b)", item["stem"])[0]),
        ("taste-to-effect", lambda item: item["subject"]["tastes"][0]),
        ("point-of-difference", lambda item: item["subject"]["herbs"][0]["label"]),
    ],
)
def test_what_the_key_rests_on_stays_in_the_question(family, told):
    seed = next(seed for seed in range(1, 50) if " mL" in stem_of(family, seed) or family != "preparation")
    item = factories.banked_item(family=family, seed=seed)
    before = item.opened["stem"]
    stem = before.replace(told(item.opened), {"preparation": "77"}.get(family, "sumach bark"), 1)
    assert stem != before
    with pytest.raises(ReviewError, match="keep them"):
        edit_wording(item=item, stem=stem, vignette="", by=people.instructor())
    assert Item.objects.get().review == "draft"


def stem_of(family: str, seed: int) -> str:
    return question_maker().make(family, seed)["stem"]


def test_a_sibling_needs_its_teaching_set(teacher):
    item = factories.banked_item()
    Item.objects.update(teaching_set="gone")
    response = teacher.post(reverse("quizzes:item-sibling", args=[item.code]), {"code": uuid.uuid4()}, follow=True)
    assert "teaching set it was made under is gone" in response.content.decode()
    assert (
        "out of date"
        in teacher.post(reverse("quizzes:item-sibling", args=[item.code]), {"code": "x"}, follow=True).content.decode()
    )
    assert Item.objects.count() == 1


def test_approved_items_of_one_skeleton_meet_in_no_drill():
    course = people.course()
    course.untrusted_families = ["kinds"]
    course.save()
    first, second = (factories.banked_item(family="kinds", review="approved", seed=seed) for seed in (1, 2))
    Item.objects.filter(pk=second.pk).update(skeleton=first.skeleton)
    content = second.content | {"skeleton": first.skeleton}
    Item.objects.filter(pk=second.pk).update(content=content)
    start = {"student": people.student(), "action": "", "family": "kinds", "course": course}
    with pytest.raises(NoValidItemError):
        services.start_attempt(code=uuid.uuid4(), length=2, **start)
    assert services.start_attempt(code=uuid.uuid4(), length=1, **start).questions.count() == 1


def test_a_mixed_drill_of_a_wary_course_takes_only_approved_items_of_the_families_it_doubts():
    course, item = people.course(), factories.banked_item(family="caution", review="approved")
    factories.banked_item(family="caution", review="draft", seed=5)
    course.untrusted_families = [name for name, module in FAMILIES.items() if name != "best-fit" and not module.PANEL]
    course.save()
    drill = services.start_attempt(
        student=people.student(), code=uuid.uuid4(), action="", length=5, family="", course=course
    )
    found = [question.item for question in drill.questions.select_related("item")]
    assert [row.pk for row in found if row.family != "best-fit"] == [item.pk]
    assert [row.review for row in found if row.family == "best-fit"] == ["generated"] * 4


def test_without_a_materia_medica_the_pages_say_what_to_do(teacher):
    item = factories.banked_item()
    Release.objects.all().delete()
    answers = [
        teacher.get(reverse("quizzes:item-list")),
        teacher.get(reverse("quizzes:plan-list")),
        send(teacher, "plan-new", text="title: One\nlength: 1\n"),
        send(teacher, "item-make", family="kinds", count=1, code=uuid.uuid4()),
        send(teacher, "item-sibling", item.code, code=uuid.uuid4()),
    ]
    assert [answer.status_code for answer in answers] == [503] * 5
    assert teacher.get(reverse("quizzes:item-detail", args=[item.code])).status_code == 200
