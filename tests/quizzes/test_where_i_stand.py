"""Where I stand: the student's own picture, honest about what is not known, and nobody else's business."""

import html
import re
from datetime import timedelta

import numpy as np
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from lessons.models import Enrolment
from quizzes import standing
from quizzes.engine import learner as model
from quizzes.models import CohortConfusion, FoundConfusion, Learner, Memory, Standing
from tests import people
from tests.queries import assert_query_count, told
from tests.quizzes.readings import read_patterns

pytestmark = pytest.mark.django_db
ADDRESS = "/drills/standing/"
SLUG = model.SLUGS[1]
CONFUSION = model.CONFUSIONS[SLUG]


def page(who=people.student) -> str:
    """The page's text as a person sees it, in one line."""
    response = people.client_of(who()).get(reverse("quizzes:where-i-stand"))
    assert response.status_code == 200
    return " ".join(html.unescape(response.content.decode()).split())


def learner(who=people.student, *, answers: int = 30, taken: int = 4, offered: int = 6, shown: bool = True) -> Learner:
    """A student who has answered, all of it about expectorants and moisture, and who took one confusion."""
    ability = model.prior()
    for number in range(answers):
        facets = model.facets(action="expectorant", axis="moisture", system="respiratory")
        ability = model.updated(ability, facets, right=number % 4 > 0, difficulty=0.0, floor=0.25)
    evidence = {SLUG: model.Evidence(float(taken), float(offered), taken, offered, offered, shown)}
    columns = {
        "ability": model.ability_to_json(ability) if answers else {},
        "confusions": model.evidence_to_json(evidence) if offered else {},
        "answers": answers,
        "changed_at": timezone.now() if answers else None,
    }
    return Learner.objects.update_or_create(student=who(), defaults=columns)[0]


def remember(first: str, second: str = "", *, due_in: int, stability: float = 5.0, who=people.student) -> Memory:
    """A memory of an herb or a pair, due in some days."""
    now = timezone.now()
    due = now + timedelta(days=due_in)
    state = model.Memory(stability, 5.0, 2, None, due, now - timedelta(days=3))
    return Memory.objects.create(
        student=who(), first=first, second=second, state=model.memory_to_json(state), due_at=due
    )


def some_parts(medica, count: int) -> list:
    """Rows of some parts, in order of their slugs."""
    return [medica.rows[slug] for slug in sorted(medica.rows)[:count]]


# With little or nothing known


def test_nothing_is_claimed_of_somebody_who_has_not_answered():
    text = page(people.stranger)
    assert "Nothing is known yet: you have no marked answer." in text
    assert "No skill is known yet. Each needs 10 marked answers that exercise it." in text
    assert "One can be told only after it was offered to you 4 times." in text
    assert "An herb is listed here once" in text
    assert "You have not read a pattern in a marked question yet." in text
    assert "2 more days are needed" in text
    assert "<figure" not in text
    assert "chances in 100 of choosing" not in text


def test_few_answers_are_counted_and_those_still_needed_are_told():
    learner(answers=4, offered=0)
    text = page()
    assert "You have 4 marked answers. That is too few to say how you do: 6 more are needed." in text
    assert text.count("not known yet: 6 more answers needed") == 2  # moisture and expectorants
    assert text.count("not known yet: 10 more answers needed") == 3  # the other axes
    assert "<figure" not in text


def test_one_answer_short():
    learner(answers=9)
    assert "1 more is needed" in page()
    learner(answers=10)
    assert "After 10 marked answers you have about" in page()


# Skills


def test_skills_are_told_as_chances_with_their_interval_and_never_as_logits():
    row = learner()
    text = page()
    ability = model.ability_from_json(row.ability)
    skill = model.skill(ability, "action:expectorant")
    chance, low, high = standing.chance_in_100(skill.value, skill.error)
    assert f'Expectorants</a></th><td class="num">{chance}</td><td class="num">{low} to {high}</td>' in text
    assert f"Moisture: {standing.chance_in_100(model.skill(ability, 'axis:moisture').value)[0]}, from" in text
    assert "logit" not in text
    # What was not asked about has no figure, though the model has a prior for it.
    assert re.search(r'Tone</th><td class="num">–</td><td class="num">–</td><td class="num">0</td>', text)


def test_the_chance_is_that_of_three_parameters_and_its_interval_holds_95_percent():
    assert standing.chance_in_100(0.0) == (62, 62, 62)  # 1/4 + 3/4 * 1/2 = .625, to the even hundredth
    assert standing.chance_in_100(0.5)[0] == 72
    rng = np.random.default_rng(3)
    drawn = 0.25 + 0.75 / (1 + np.exp(-rng.normal(0.4, 0.35, 200_000)))
    _, low, high = standing.chance_in_100(0.4, 0.35)
    assert np.quantile(100 * drawn, [0.025, 0.975]) == pytest.approx([low, high], abs=0.8)


def test_everything_together_is_the_ability_on_what_was_answered():
    ability = model.ability_from_json(learner().ability)
    # Every answer had the same facets, so that the mixture is an item with these facets.
    facets = model.facets(action="expectorant", axis="moisture", system="respiratory")
    mean, variance = model.on_item(ability, facets)
    assert standing.together(ability) == pytest.approx((mean, variance**0.5))
    assert f"about {standing.chance_in_100(mean)[0]} chances in 100" in page()


def test_a_skill_is_firm_when_the_model_says_that_it_is_mastered():
    row = learner()
    facets = model.facets(action="expectorant", axis="moisture", system="respiratory")
    ability = model.ability_from_json(row.ability)
    assert "<td>firm</td>" not in page()
    for _ in range(80):
        ability = model.updated(ability, facets, right=True, difficulty=1.0, floor=0.25)
    Learner.objects.update(ability=model.ability_to_json(ability))
    assert model.skill(ability, "axis:moisture").is_mastered
    assert "<td>firm</td>" in page()


def test_time_without_an_answer_widens_the_interval():
    learner()
    fresh = page()
    Learner.objects.update(changed_at=timezone.now() - timedelta(days=400))
    width = [int(b) - int(a) for a, b in re.findall(r"Expectorants</a>.*?(\d+) to (\d+)</td>", fresh + page())]
    assert width[1] > width[0]


# Confusions


def test_a_confusion_is_told_with_its_evidence_what_helps_and_the_way_to_practise():
    learner()
    FoundConfusion.objects.create(student=people.student(), confusion=SLUG, shown_at=timezone.now())
    text = page()
    assert CONFUSION.sentence in text
    assert CONFUSION.advice in text
    assert "Taken 4 of the 6 times it was offered." in text
    form = re.search(
        r'<form method="post" action="([^"]+)">(?:(?!</form>).)*name="confusion"(?:(?!</form>).)*</form>', text
    )
    assert form and form.group(1) == reverse("quizzes:practice-start")
    assert f'name="confusion" value="{SLUG}"' in form.group()
    assert 'name="csrfmiddlewaretoken"' in form.group()


def test_a_cleared_confusion_says_when_and_offers_no_practice():
    learner(shown=False)
    FoundConfusion.objects.create(
        student=people.student(),
        confusion=SLUG,
        shown_at=timezone.now().replace(year=2026, month=3, day=2, hour=12),
        cleared_at=timezone.now().replace(year=2026, month=4, day=5, hour=12),
    )
    text = page()
    assert "found on" in text and "2 March 2026" in text and "5 April 2026" in text
    assert 'name="confusion"' not in text
    assert CONFUSION.advice not in text


def test_a_confusion_that_left_the_catalogue_is_passed_over():
    learner()
    FoundConfusion.objects.create(student=people.student(), confusion="no-longer-known", shown_at=timezone.now())
    assert "no-longer-known" not in page()


@pytest.mark.parametrize(("students", "told"), [(4, False), (5, True)])
def test_the_course_s_rate_is_told_only_where_it_hides_single_people(students, told):
    learner()
    FoundConfusion.objects.create(student=people.student(), confusion=SLUG, shown_at=timezone.now())
    CohortConfusion.objects.create(cohort=people.EVENING, confusion=SLUG, offered=540, taken=115)
    for number in range(students - 1):
        people.person(f"extra-{number}", f"Extra {number}", Enrolment.Role.STUDENT)
    # (115 + 4.8) / (540 + 60) = .1997: the rate is drawn towards the default.
    assert ("In your course it is taken about 20 times in 100." in page()) is told


def test_another_course_s_rate_is_not_told():
    learner()
    FoundConfusion.objects.create(student=people.student(), confusion=SLUG, shown_at=timezone.now())
    CohortConfusion.objects.create(cohort=people.WEEKEND, confusion=SLUG, offered=540, taken=115)
    for number in range(6):
        people.person(f"extra-{number}", f"Extra {number}", Enrolment.Role.STUDENT)
    assert "In your course it is taken" not in page()


# Herbs and pairs


def test_herbs_are_due_being_learned_or_well_held(medica):
    first, second, third = some_parts(medica, 3)
    remember(first.slug, due_in=-1, stability=60)
    remember(second.slug, due_in=2)
    remember(third.slug, due_in=40, stability=60)
    text = page()
    assert "Herbs by how well they are held: 1 due, 1 being learned, 1 well held." in text
    due = text.partition("Due now</h3>")[2].partition("</ul>")[0]
    assert reverse("herbs:part-detail", args=[first.slug]) in due
    assert second.slug not in due and third.slug not in due
    assert len(re.findall(r"<td>(due|being learned|well held)</td>", text)) == 3


def test_when_none_is_due_the_next_one_is_named(medica):
    first, second = some_parts(medica, 2)
    remember(second.slug, due_in=9)
    remember(first.slug, due_in=5)
    text = page()
    assert f'None is due. The next is <a href="{reverse("herbs:part-detail", args=[first.slug])}">' in text


def test_a_long_list_of_what_is_due_is_cut_and_says_so(medica):
    for row in some_parts(medica, 15):
        remember(row.slug, due_in=-1)
    assert "and 3 more in the table" in page()


def test_a_pair_leads_to_the_comparison_of_its_parts(medica):
    first, second = some_parts(medica, 2)
    remember(first.slug, second.slug, due_in=-1)
    link = f"{reverse('herbs:part-compare')}?parts={first.slug},{second.slug}"
    assert page().count(f'href="{link}"') == 2  # named as due, and in the table
    compared = people.client_of(people.student()).get(link)
    assert first.label in html.unescape(compared.content.decode())


def test_an_herb_that_left_the_materia_medica_is_passed_over(medica):
    first = some_parts(medica, 1)[0]
    remember("no-such-herb-root", due_in=-1)
    remember(first.slug, "no-such-herb-root", due_in=-1)
    text = page()
    assert "no-such-herb" not in text
    assert "An herb is listed here once" in text


# Over time


def test_a_line_needs_two_days_and_its_table_holds_every_day():
    row = learner()
    text = page()
    assert "1 more day is needed" in text and "chart-course" not in text
    for ago, value in ((3, 100), (1, 300)):
        skills = {"overall": [value, 200], "axis:moisture": [value, 250]}
        Standing.objects.create(
            student=row.student, day=timezone.now().date() - timedelta(days=ago), skills=skills, answers=10
        )
    text = page()
    assert text.count('class="chart-course"') == 2  # moisture, and expectorants of today; the other axes are not known
    table = text.partition('aria-label="The four axes day by day"')[2].partition("</table>")[0]
    assert table.count("<tr>") == 4
    chance, low, high = standing.chance_in_100(0.1, 0.25)
    assert f'{chance} <span class="quiet">({low}–{high})</span>' in table
    # A skill that was not told on a day has a gap there, not a figure.
    classes = text.partition('aria-label="Action classes day by day"')[2].partition("</table>")[0]
    assert classes.count('<td class="num">–</td>') == 2


# Whose it is, and what it costs


def test_nobody_sees_another_s_picture(medica):
    learner()
    FoundConfusion.objects.create(student=people.student(), confusion=SLUG, shown_at=timezone.now())
    remember(some_parts(medica, 1)[0].slug, due_in=-1)
    read_patterns(1)
    for who in (people.other_student, people.instructor, people.owner, people.administrator):
        text = page(who)
        assert "Nothing is known yet: you have no marked answer." in text
        assert CONFUSION.sentence not in text
        assert "You have not read a pattern in a marked question yet." in text
    assert people.client_of(None).get(ADDRESS).status_code == 302


def test_every_picture_has_a_text_and_a_table(medica):
    learner()
    for row in some_parts(medica, 3):
        remember(row.slug, due_in=1)
    Standing.objects.create(
        student=people.student(), day=timezone.now().date() - timedelta(days=2),
        skills={"axis:moisture": [100, 200]}, answers=5,
    )  # fmt: skip
    text = page()
    figures = re.findall(r"<figure.*?</figure>", text)
    assert len(figures) >= 3
    for figure in figures:
        assert 'role="img"' in figure
        named = re.search(r'aria-labelledby="([^"]+)"', figure).group(1).split()
        assert all(f'id="{name}"' in figure for name in named)
    ids = re.findall(r' id="([^"]+)"', text)
    assert len(ids) == len(set(ids))
    assert text.count("<details") == text.count("</table></div></details>") >= 3


@pytest.mark.parametrize("size", [2, 20])
def test_queries_do_not_grow_with_what_is_known(medica, size):
    learner()
    FoundConfusion.objects.create(student=people.student(), confusion=SLUG, shown_at=timezone.now())
    for number in range(5):
        people.person(f"extra-{number}", f"Extra {number}", Enrolment.Role.STUDENT)
    for row in some_parts(medica, size):
        remember(row.slug, due_in=-1)
    for ago in range(1, size + 1):
        Standing.objects.create(
            student=people.student(), day=timezone.now().date() - timedelta(days=ago),
            skills={"overall": [1, 2]}, answers=ago,
        )  # fmt: skip
    read_patterns(size)
    client = people.client_of(people.student())
    client.get(ADDRESS)  # whatever is compiled once
    # 1 session, 2 user, 3 course joined last, 4 data version, 5 teaching set, 6 learner, 7 confusions found, 8 students of
    # the course, 9 the course's sums, 10 memories, 11 readings with the true patterns, 12 days kept, 13 whether the person
    # teaches, 14 administers a school (both for the menu)
    with assert_query_count(14):
        client.get(ADDRESS)


def test_the_page_writes_nothing():
    learner()
    client = people.client_of(people.student())
    with CaptureQueriesContext(connection) as captured:
        client.get(ADDRESS)
    assert not re.search(r"\b(INSERT|UPDATE|DELETE)\b", told(captured))
