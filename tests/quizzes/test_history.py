"""What I answered: every question met, its filters, and nothing of a key before its time."""

import html
import re
from datetime import timedelta

import pytest
from django.db import connection
from django.urls import reverse
from django.utils import timezone

from quizzes.history import SHORTEST_TEXT, UNFINISHED, time_taken, time_words
from quizzes.models import Answer, Question
from tests import factories, people
from tests.factories import address
from tests.queries import assert_query_count

pytestmark = pytest.mark.django_db
ADDRESS = "/drills/history/"


def page(who=people.student, **query) -> str:
    """The page as a person sees it, in one line."""
    response = people.client_of(who()).get(reverse("quizzes:history"), query)
    assert response.status_code == 200
    return " ".join(html.unescape(response.content.decode()).split())


def links(text: str) -> list[str]:
    """The addresses of the questions listed, in order."""
    return re.findall(r'<th scope="row"><a href="([^"]+)"', text)


def answer_all(drill) -> list[Question]:
    """Answer every question of a drill right, a minute apart, in the past; the questions as the list has them."""
    asked = [factories.question(drill, position) for position in range(1, drill.length + 1)]
    for number, question in enumerate(asked):
        answer = factories.answered(question)
        at = timezone.now() - timedelta(hours=1) + timedelta(minutes=number)
        Answer.objects.filter(pk=answer.pk).update(chosen_at=at)
    return asked


def test_every_question_met_is_listed_the_latest_first_and_leads_to_its_explanation():
    asked = answer_all(factories.attempt(people.student(), length=3))
    text = page()
    assert "3 questions" in text
    assert links(text) == [address(question) for question in reversed(asked)]
    explained = people.client_of(people.student()).get(links(text)[0])
    assert "The reasoning" in explained.content.decode()


def test_the_latest_answer_comes_first_whichever_drill_it_belongs_to():
    older, newer = factories.attempt(people.student(), length=1), factories.attempt(people.student(), length=1)
    for drill, minutes in ((older, 1), (newer, 5)):
        answer = factories.answered(factories.question(drill))
        Answer.objects.filter(pk=answer.pk).update(chosen_at=timezone.now() - timedelta(minutes=minutes))
    assert links(page()) == [address(factories.question(older)), address(factories.question(newer))]


def test_a_question_never_seen_is_not_listed_one_that_was_opened_is_unfinished():
    drill = factories.attempt(people.student(), length=2)
    assert "You have not met a question yet." in page()
    client = people.client_of(people.student())
    client.get(address(factories.question(drill)))
    text = page()
    assert links(text) == [address(factories.question(drill))]
    assert '<td class="unfinished">Unfinished</td>' in text
    assert ">None yet</td>" in text


def test_a_choice_without_its_reason_is_unfinished_and_has_no_mark():
    drill = factories.attempt(people.student(), length=1)
    factories.locked(factories.question(drill))
    text = page()
    assert '<td class="unfinished">Unfinished</td><td class="num">–</td>' in text
    factories.answered(factories.question(drill))
    text = page()
    assert ">Right, for the reason that decides</td>" in text
    assert '<td class="num">1000</td>' in text


def test_before_the_mark_the_list_tells_nothing_of_the_key():
    drill = factories.attempt(people.student(), length=1)
    asked = factories.question(drill)
    client = people.client_of(people.student())
    client.get(address(asked))
    before = page()
    content = asked.item.opened
    for option in content["options"]:
        assert option["label"] not in before.partition("<table")[2]
    factories.locked(asked, factories.wrong_choice_of(asked))
    right = content["options"][content["key"]]["label"]
    assert right not in page().partition("<table")[2]


def test_a_search_for_a_herb_tells_nothing_of_a_question_without_its_mark():
    drill = factories.attempt(people.student(), length=1)
    asked = factories.question(drill)
    factories.locked(asked, factories.wrong_choice_of(asked))
    label = asked.item.opened["options"][factories.key_of(asked)]["label"]
    assert "No question fits." in page(text=label)
    factories.answered(asked)
    assert links(page(text=label)) == [address(asked)]
    assert links(page(text=label.upper())) == [address(asked)]


def test_words_of_the_case_are_found():
    asked = answer_all(factories.attempt(people.student(), length=4))
    wanted = asked[2].item.opened["vignette"]
    piece = wanted[20:60]
    assert links(page(text=piece)) == [address(asked[2])]
    assert links(page(text="no case says this")) == []


def test_percent_signs_and_underscores_mean_themselves():
    answer_all(factories.attempt(people.student(), length=2))
    assert links(page(text="%%%")) == []
    assert links(page(text="___")) == []


def test_filters_by_class_kind_and_outcome():
    drill = factories.attempt(people.student(), length=3)
    first, second, third = (factories.question(drill, position) for position in (1, 2, 3))
    factories.answered(first)
    wrong = factories.answered(second, factories.wrong_choice_of(second), decisive=False)
    factories.locked(third)
    assert links(page(outcome="both-right")) == [address(first)]
    assert links(page(outcome=wrong.outcome)) == [address(second)]
    assert links(page(outcome=UNFINISHED)) == [address(third)]
    assert set(links(page(family="best-fit"))) == {address(first), address(second), address(third)}
    assert links(page(family="preparation")) == []
    for question in (first, second, third):
        same = {address(q) for q in (first, second, third) if q.item.action == question.item.action}
        assert set(links(page(action=question.item.action))) == same
    assert links(page(family="best-fit", outcome="both-right", action=first.item.action)) == [address(first)]


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("family", "astrology", "There is no such kind of question. Choose one from the list."),
        ("action", "no-such-class", "There is no such action class. Choose one from the list."),
        ("outcome", "perfect", "There is no such outcome. Choose one from the list."),
        ("text", "a" * (SHORTEST_TEXT - 1), "Write at least 3 letters of a word."),
        ("text", "a" * 81, "Write no more than 80 letters."),
        ("text", "dry\x00cough", "Null characters are not allowed."),
    ],
)
def test_a_filter_that_makes_no_sense_says_so_and_filters_nothing(field, value, sentence):
    asked = answer_all(factories.attempt(people.student(), length=1))
    text = page(**{field: value})
    assert sentence in text
    assert links(text) == [address(asked[0])]


@pytest.mark.parametrize(("number", "shown"), [("1", 1), ("2", 2), ("99", 2), ("-1", 2), ("abc", 1)])
def test_pages_of_25_and_odd_page_numbers(monkeypatch, number, shown):
    monkeypatch.setattr("quizzes.standing_pages.PAGE", 2)
    asked = answer_all(factories.attempt(people.student(), length=3))
    text = page(page=number, family="best-fit")
    assert f"Page {shown} of 2" in text
    expected = [address(question) for question in reversed(asked)]
    assert links(text) == (expected[:2] if shown == 1 else expected[2:])
    assert "family=best-fit" in text  # the links to other pages keep the filter


def test_a_page_has_25():
    from quizzes import standing_pages

    assert standing_pages.PAGE == 25


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(0, "0 s"), (42, "42 s"), (65, "1 min 5 s"), (1800, "30 min 0 s"), (1801, "not known"), (-5, "not known")],
)
def test_response_times(seconds, words):
    drill = factories.attempt(people.student(), length=1)
    asked = factories.question(drill)
    answer = factories.answered(asked)
    Question.objects.filter(pk=asked.pk).update(shown_at=answer.chosen_at - timedelta(seconds=seconds))
    assert f'<td class="num wide-only">{words}</td>' in page()


def test_a_time_that_was_not_kept_is_not_known():
    drill = factories.attempt(people.student(), length=1)
    asked = factories.question(drill)
    assert time_taken(asked) is None
    factories.answered(asked)
    assert time_taken(factories.question(drill)) is None
    assert '<td class="num wide-only">not known</td>' in page()
    assert time_words(None) == ""


def test_nobody_sees_another_s_history():
    answer_all(factories.attempt(people.student(), length=1))
    for who in (people.other_student, people.stranger, people.instructor, people.owner, people.administrator):
        assert "You have not met a question yet." in page(who)
    assert people.client_of(None).get(ADDRESS).status_code == 302


def test_the_drill_list_leads_to_both_pages():
    text = people.client_of(people.student()).get(reverse("quizzes:drill-list")).content.decode()
    assert f'href="{ADDRESS}"' in text
    assert 'href="/drills/standing/"' in text


@pytest.mark.parametrize("size", [2, 20])
def test_queries_do_not_grow_with_the_rows(size):
    asked = answer_all(factories.attempt(people.student(), length=size))
    client = people.client_of(people.student())
    client.get(ADDRESS)  # whatever is compiled once
    # 1 session, 2 user, 3 data version, 4 teaching set, 5 how many, 6 which, 7 the page's questions with attempt, item and
    # answer, 8 whether the person teaches, 9 administers a school (both for the menu)
    with assert_query_count(9):
        client.get(ADDRESS)
    with assert_query_count(9):
        found = client.get(ADDRESS, {"text": asked[0].item.opened["vignette"][20:60], "outcome": "both-right"})
    assert len(links(found.content.decode())) == 1


def test_the_list_is_found_through_indexes():
    """No table that grows with everybody's answers is read through to find one student's."""
    drill = factories.attempt(people.student(), length=1)
    met = Question.objects.met_by(drill.student).values_list("pk", flat=True)
    whole = "SCAN "
    if connection.vendor == "postgresql":
        # A small table is read whole unless PostgreSQL is told to do so only where nothing else is possible.
        connection.cursor().execute("SET LOCAL enable_seqscan = off")
        whole = "Seq Scan"
    plan = met.explain()
    assert [line for line in plan.splitlines() if whole in line] == [], plan
    assert plan.count("student_id") >= 1 and "quizzes_answer" in plan
