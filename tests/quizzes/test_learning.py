"""What a graded answer teaches of its student: ability, confusions and memory; once for each answer, and of nothing else."""

import uuid
from datetime import UTC, datetime, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from lessons.bank import question_maker
from lessons.engine import Constraints
from lessons.models import Item
from lessons.services import freeze_items
from quizzes import services
from quizzes.engine import learner as model
from quizzes.engine import reasons_for
from quizzes.engine.learner.confusions import confusion_of_fault
from quizzes.models import CohortConfusion, FoundConfusion, Learner, Memory, Question, Standing
from tests import factories, people

pytestmark = pytest.mark.django_db
LATER = timedelta(days=3)


@pytest.fixture
def asked(db):
    """The first question of Wenna's drill."""
    return factories.question(factories.attempt(people.student()))


def learner() -> Learner:
    return Learner.objects.get(student=people.student())


def overall() -> float:
    return model.ability_from_json(learner().ability).mean[0]


def test_a_right_answer_raises_the_ability_and_a_wrong_one_lowers_it(db):
    drill = factories.attempt(people.student(), length=2)
    factories.answered(factories.question(drill, 1))
    raised = overall()
    assert raised > 0
    second = factories.question(drill, 2)
    factories.answered(second, factories.wrong_choice_of(second))
    assert overall() < raised
    assert learner().answers == 2


def test_a_choice_without_its_reason_teaches_nothing(asked):
    factories.locked(asked, factories.wrong_choice_of(asked))
    assert not Learner.objects.exists()
    assert not Memory.objects.exists()
    assert not CohortConfusion.objects.exists()


def test_a_repeated_reason_teaches_once(asked):
    answer = factories.answered(asked)
    before = learner()
    services.record_reason(question=factories.question(asked.attempt), reason=0)
    services.record_reason(question=factories.question(asked.attempt), reason=answer.reason)
    after = learner()
    assert (after.answers, after.ability, after.confusions) == (1, before.ability, before.confusions)
    assert sum(CohortConfusion.objects.values_list("offered", flat=True)) == len(before.confusions)


def test_confidence_teaches_nothing(db):
    """Two students, one drill, all alike but for what they say of their confidence."""
    figures = []
    drill = factories.attempt(people.student(), length=1)
    for username, confidence in (("tegen-low", 25), ("tegen-high", 100)):
        student = people.person(username, "Tegen", "student")
        item = factories.question(drill).item
        own = services.start_attempt(student=student, code=uuid.uuid4(), action="", length=1)
        Question.objects.filter(attempt=own).update(item=item, asks_confidence=True)
        asked = factories.question(own)
        services.record_choice(question=asked, choice=factories.key_of(asked), confidence=confidence)
        services.record_reason(question=asked, reason=factories.reason_of(asked, factories.key_of(asked)))
        row = Learner.objects.get(student=student)
        figures.append((row.ability, row.confusions))
    assert figures[0] == figures[1]


def test_the_fault_taken_and_those_offered_are_counted_for_student_and_cohort(asked):
    content = asked.item.opened
    choice = factories.wrong_choice_of(asked)
    slug = confusion_of_fault(content["family"], content["options"][choice]["fault"])
    answer = factories.answered(asked, choice)
    record = learner().confusions
    offered, taken = model.events(content, choice, answer.reason)
    assert slug in taken
    assert set(record) == offered
    assert {name for name, row in record.items() if row[2]} == taken
    sums = {row.confusion: (row.offered, row.taken) for row in CohortConfusion.objects.filter(cohort=people.EVENING)}
    assert sums == {name: (int(name in offered), int(name in taken)) for name in model.SLUGS}


def test_an_herb_is_due_sooner_after_a_wrong_answer_and_a_pair_begins(db):
    drill = factories.attempt(people.student(), length=2)
    first, second = factories.question(drill, 1), factories.question(drill, 2)
    factories.answered(first)
    wrong = factories.wrong_choice_of(second)
    factories.answered(second, wrong)
    keys = [asked.item.opened["options"][factories.key_of(asked)]["part"] for asked in (first, second)]
    due = {(row.first, row.second): row.due_at for row in Memory.objects.filter(student=people.student())}
    assert due[keys[0], ""] > due[keys[1], ""]
    pair = tuple(sorted((keys[1], second.item.opened["options"][wrong]["part"])))
    assert set(due) == {(keys[0], ""), (keys[1], ""), pair}


@pytest.mark.parametrize("decisive", [True, False])
def test_right_for_a_wrong_reason_comes_again_sooner_than_both_right(asked, decisive):
    """The mapping to the library, at its effect: three of its four steps are used, and never the longest interval."""
    factories.answered(asked, decisive=decisive)
    at = datetime(2026, 3, 1, tzinfo=UTC)
    outcomes = {
        name: model.reviewed(None, name, at).due for name in ("both-right", "right-for-a-wrong-reason", "both-wrong")
    }
    assert outcomes["both-wrong"] <= outcomes["right-for-a-wrong-reason"] < outcomes["both-right"]
    kept = model.memory_from_json(Memory.objects.get().state)
    name = "both-right" if decisive else "right-for-a-wrong-reason"
    assert kept.due - kept.last_review == outcomes[name] - at


def planted(slug: str, times: int, student):
    """A drill of best-fit questions that all offer a confusion, taken every time."""
    maker, found, seed = question_maker(), [], 0
    while len(found) < times:
        item = maker.make("best-fit", seed, Constraints())
        seed += 1
        if any(
            confusion_of_fault("best-fit", option["fault"]) == slug for option in item["options"] if option["fault"]
        ):
            found.append(item)
    drill = services.start_attempt(student=student, code=uuid.uuid4(), action="", length=times)
    for question, item in zip(drill.questions.order_by("position"), freeze_items(contents=found), strict=True):
        Question.objects.filter(pk=question.pk).update(item=item)
    return drill


def take(asked, slug: str):
    content = asked.item.opened
    choice = next(
        n for n, option in enumerate(content["options"])
        if option["fault"] and confusion_of_fault("best-fit", option["fault"]) == slug
    )  # fmt: skip
    factories.answered(asked, choice)


def test_a_confusion_is_shown_from_four_offers_on_and_noted_once(db):
    student, slug = people.student(), "place-overlooked"
    drill = planted(slug, 6, student)
    seen = []
    for position in range(1, 7):
        take(factories.question(drill, position), slug)
        seen.append(FoundConfusion.objects.filter(student=student, confusion=slug).count())
    assert seen[:3] == [0, 0, 0]
    assert seen[-1] == 1
    assert FoundConfusion.objects.get(confusion=slug).cleared_at is None


def test_the_end_of_each_day_is_kept_when_the_next_one_begins(asked):
    factories.answered(asked)
    assert not Standing.objects.exists()
    row = learner()
    yesterday = timezone.now() - timedelta(days=1)
    Learner.objects.filter(pk=row.pk).update(changed_at=yesterday)
    second = factories.question(asked.attempt, 2)
    factories.answered(second)
    standing = Standing.objects.get()
    assert (standing.day, standing.answers) == (yesterday.astimezone(UTC).date(), 1)
    assert standing.skills[model.OVERALL][0] == pytest.approx(
        1000 * model.ability_from_json(row.ability).mean[0], abs=1
    )


def test_a_clock_set_back_does_no_harm(asked, monkeypatch):
    factories.answered(asked)
    first = learner().changed_at
    second = factories.question(asked.attempt, 2)
    factories.locked(second)
    monkeypatch.setattr(services.timezone, "now", lambda: first - LATER)
    services.record_reason(question=second, reason=factories.reason_of(second, factories.key_of(second)))
    row = learner()
    assert (row.answers, row.changed_at) == (2, first)
    assert not Standing.objects.exists()


def test_an_item_for_a_panel_teaches_nothing(asked, maker):
    lean = freeze_items(contents=[maker.make("new-finding", 5, Constraints())])[0]
    Question.objects.filter(pk=asked.pk).update(item=lean)
    asked = factories.question(asked.attempt)
    services.record_choice(question=asked, choice=2)
    services.record_reason(question=asked, reason=0)
    assert reasons_for(asked.item.opened, 2)
    assert (learner().answers, learner().ability, learner().confusions) == (0, {}, {})
    assert not CohortConfusion.objects.exists()


def test_an_item_whose_teaching_set_is_gone_still_teaches(asked):
    Item.objects.filter(pk=asked.item.pk).update(teaching_set="a-set-that-is-gone")
    factories.answered(factories.question(asked.attempt))
    assert learner().answers == 1
    client = people.client_of(people.student())
    assert client.get(reverse("quizzes:where-i-stand")).status_code == 200


def test_a_part_that_left_the_materia_medica_does_no_harm(asked):
    factories.answered(asked)
    state = Memory.objects.get().state
    past = timezone.now() - timedelta(days=9)
    student = people.student()
    Memory.objects.create(student=student, first="gone-root", state=state, due_at=past)
    Memory.objects.create(student=student, first="gone-leaf", second="gone-root", state=state, due_at=past)
    client = people.client_of(student)
    for name in ("next-work", "where-i-stand", "history"):
        assert client.get(reverse(f"quizzes:{name}")).status_code == 200
    assert client.post(reverse("quizzes:practice-start"), {"code": uuid.uuid4()}).status_code == 302


def test_while_nothing_is_loaded_an_answer_is_still_marked(asked, monkeypatch):
    from herbs import catalogue
    from lessons import bank
    from quizzes import learning, practice

    def empty(*_):
        raise catalogue.EmptyMateriaMedicaError

    monkeypatch.setattr(learning, "kept_maker", empty)
    monkeypatch.setattr(bank, "materia_medica", empty)
    factories.answered(asked)
    assert learner().answers == 1
    session = asked.attempt
    session.kind = "practice"
    practice.choose_ahead(attempt=session)


def test_thousands_of_answers_leave_sound_figures():
    """No overflow, no figure that is not a number, and a record that does not grow."""
    ability = model.prior()
    record: dict = {}
    mixed = [
        model.facets(action=action, axis=axis, system=system)
        for action in ("expectorant", "demulcent", "nervine")
        for axis in ("moisture", "tone")
        for system in ("respiratory", "digestive")
    ]
    for number in range(3000):
        facets = mixed[number % len(mixed)]
        ability = model.ability_from_json(
            model.ability_to_json(model.updated(ability, facets, right=number % 7 != 0, difficulty=0.5, floor=0.25))
        )
        record = model.recorded(record, {"wrong-moisture"}, {"wrong-moisture"} if number % 5 == 0 else set())
    stored = model.ability_to_json(ability)
    assert all(abs(figure) < 10**6 for figure in (*stored["mean"], *stored["covariance"]))
    for skill in model.reported_skills(ability):
        assert -6 < skill.value < 6
        assert 0 < skill.error < 1
    assert record["wrong-moisture"].times_offered == 3000
    assert record["wrong-moisture"].offered < 30


@pytest.mark.parametrize("right", [True, False])
def test_answers_that_are_all_alike_do_not_carry_the_figures_off(right):
    ability = model.prior()
    facets = model.facets(action="expectorant", axis="moisture", system="respiratory")
    for _ in range(2000):
        ability = model.updated(ability, facets, right=right, difficulty=0.5, floor=0.25)
    skill = model.skill(ability, facets[1])
    assert abs(skill.value) <= 12
    assert skill.error < 4


def test_what_is_due_of_parts_that_are_gone_does_not_starve_the_rest(asked, medica):
    from quizzes import choosing

    student, past = people.student(), timezone.now() - timedelta(days=9)
    state = model.memory_to_json(model.reviewed(None, "both-right", past))
    rows = [Memory(student=student, first=f"gone-{n}", state=state, due_at=past) for n in range(60)]
    Memory.objects.bulk_create(rows)
    here = next(iter(medica.rows))
    Memory.objects.create(student=student, first=here, state=state, due_at=timezone.now() - timedelta(days=1))
    assert choosing.state_of(student, None, timezone.now(), medica.rows).due_herbs == [here]
