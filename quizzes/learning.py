"""What is learned from a graded answer: ability, confusions and memory, in the transaction of its mark."""

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Any

from django.db import connection
from django.db.models import Case, F, When

from herbs.catalogue import EmptyMateriaMedicaError
from herbs.models import TeachingSet, Term
from lessons.bank import QuestionMaker, kept_maker
from lessons.engine import FAMILIES
from lessons.models import Course, Item, User
from lessons.plans import systems

from .engine import learner as model
from .engine.grading import BOTH_RIGHT, RIGHT_FOR_WRONG_REASON
from .engine.learner.selection import CONFUSION, HERB, PAIR
from .engine.learner.skills import AXIS
from .models import CohortConfusion, FoundConfusion, Learner, Memory, Question, Standing

# Chance of a wholly right answer by guessing, by kind of answer: one of four; one of 24 orders; a box of about 3 cells of 81.
FLOORS = {"choose": 0.25, "rank": 1 / 24, "match": 1 / 24, "place": 0.04, "lean": 0.2}
MOST = 32_000  # thousandths of a logit that are kept of an ability
UNIT = 1000  # difficulties are kept in thousandths of a logit
GIVING_AWAY = frozenset({CONFUSION, PAIR, HERB})
DAY = timedelta(days=1)
# Families whose answer says nothing of how well the herb that it is about is known.
NOT_OF_HERBS = frozenset({"preparation", "name-the-state"})


def facets_of(item: Item, system_of: Mapping[str, str]) -> tuple[str, ...]:
    """The facets of an item: overall, its class, the axis it turns on, the system of its site."""
    return model.facets(action=item.action, axis=item.axis, system=system_of.get(item.site, ""))


def floor_of(family: str) -> float:
    """The chance of a wholly right answer by guessing."""
    return FLOORS[FAMILIES[family].RESPONSE]


def cohort_of(course: Course | None) -> str:
    """The name under which a course's confusions are summed."""
    return course.slug if course else ""


def rates_of(cohort: str, own: Mapping[str, model.Evidence]) -> dict[str, float]:
    """How often the others of a cohort take each confusion where it is offered: one query.

    What the student took is left out, or a small cohort would be measured by the very student.
    """
    sums = CohortConfusion.objects.filter(cohort=cohort).values_list("confusion", "taken", "offered")
    found = {confusion: (taken, offered) for confusion, taken, offered in sums}
    if len(found) < len(model.SLUGS):
        rows = [CohortConfusion(cohort=cohort, confusion=slug) for slug in model.SLUGS]
        CohortConfusion.objects.bulk_create(rows, ignore_conflicts=True)
    rates = {}
    for slug in model.SLUGS:
        taken, offered = found.get(slug, (0, 0))
        if slug in own:
            offered = max(0, offered - own[slug].times_offered)
            taken = min(offered, max(0, taken - own[slug].times_taken))
        rates[slug] = model.cohort_rate(taken, offered)
    return rates


WHY_LATER = "Why you see this is told with the answer; it would give something away."


def why(question: Question, *, is_answered: bool) -> str:
    """Why practice chose a question, in the words in which it was said then; empty in a drill.

    Before the answer nothing that names an herb among the options, a confusion that they offer, or the axis that the case turns
    on: whoever reads that knows part of the answer.
    """
    if not question.why:
        return ""
    sentence, code, *about = (str(part) for part in question.why)
    gives_away = code in GIVING_AWAY or any(name.startswith(AXIS) for name in about)
    return WHY_LATER if gives_away and not is_answered else sentence


def told(reason: model.Reason, names: Mapping[str, str]) -> list[str]:
    """A reason as it is kept with a question: the sentence, then its code and what it is about."""
    return [model.explain(reason, names), *model.reason_to_json(reason)]


def names_of(maker: QuestionMaker) -> Mapping[str, str]:
    """Names of parts, and of action classes and body sites, by slug, as they stand in a sentence."""
    if "names" not in maker.workshop.kept:
        medica = maker.materia_medica
        maker.workshop.kept["names"] = {
            **{slug: medica.catalogue.graph[slug].name for slug in medica.catalogue.site_index},
            **{slug: row["plural"] for slug, row in medica.terms[Term.Kind.ACTION].items()},
            **{slug: row.label for slug, row in medica.rows.items()},
        }
    names: Mapping[str, str] = maker.workshop.kept["names"]
    return names


class PersonGoneError(Exception):
    """The account was erased meanwhile."""


def hold_person(student_id: int) -> None:
    """Keep a person's row until the transaction ends, before any other row of theirs: erasure takes it first, too.

    PersonGoneError when it is not there any more.
    """
    people = User.objects.filter(pk=student_id)
    if connection.features.has_select_for_no_key_update:
        people = people.select_for_update(no_key=True)
    elif connection.features.has_select_for_update:
        people = people.select_for_update()
    else:
        return  # one writer at a time
    if not list(people.values_list("pk")):
        raise PersonGoneError


def locked_learner(student_id: int) -> Learner:
    """What is known of a student, held until the transaction ends."""
    hold_person(student_id)
    locked = Learner.objects.select_for_update()
    try:
        return locked.get(student_id=student_id)
    except Learner.DoesNotExist:
        Learner.objects.bulk_create([Learner(student_id=student_id)], ignore_conflicts=True)
        return locked.get(student_id=student_id)


def learn(row: Learner, *, question: Question, choice: int, reason: int, outcome: str, at: datetime) -> int | None:
    """Take a graded answer into what is known of its student. Called once for each answer, inside the transaction of its mark.

    Gives the ability on the item that was estimated before it, in thousandths of a logit. An item without a key of its own
    teaches nothing here. What the student said of their confidence is not looked at.
    """
    item, opened = question.item, question.item.opened
    if FAMILIES[item.family].PANEL:
        return None
    attempt = question.attempt
    _keep_standing(row, at)
    cohort = cohort_of(attempt.course)
    ability = model.aged(model.ability_from_json(row.ability), _days(row.changed_at, at))
    facets = facets_of(item, _systems_of(item))
    before_answer = max(-MOST, min(MOST, round(UNIT * model.on_item(ability, facets)[0])))
    ability = model.updated(
        ability,
        facets,
        right=outcome in (BOTH_RIGHT, RIGHT_FOR_WRONG_REASON),
        difficulty=item.difficulty / UNIT,
        floor=floor_of(item.family),
    )
    offered, taken = model.events(opened, choice, reason)
    before = model.evidence_from_json(row.confusions)
    after = model.recorded(before, offered, taken, rates_of(cohort, before))
    row.ability, row.confusions = model.ability_to_json(ability), model.evidence_to_json(after)
    row.answers += 1
    row.changed_at = max(at, row.changed_at or at)
    row.save(update_fields=["ability", "confusions", "answers", "changed_at"])
    _note_confusions(row.student_id, before, after, at)
    _remember(row.student_id, item, opened, choice, outcome, at)
    _sum_up(cohort, offered, taken)
    return before_answer


def system_of(maker: QuestionMaker) -> Mapping[str, str]:
    """The body system of each site."""
    kept: Mapping[str, str] = maker.workshop.kept.setdefault("systems", systems(maker.materia_medica))
    return kept


def _systems_of(item: Item) -> Mapping[str, str]:
    """The body system of each site under an item's teaching set; none where that set is gone, or nothing is loaded."""
    try:
        return system_of(kept_maker(item.teaching_set))
    except (EmptyMateriaMedicaError, TeachingSet.DoesNotExist):
        return {}


def _days(before: datetime | None, at: datetime) -> float:
    return max(0.0, (at - before) / DAY) if before else 0.0


def _keep_standing(row: Learner, at: datetime) -> None:
    """With the first answer of a day, keep where the student stood at the end of the last one."""
    last = row.changed_at
    if last is None or last.astimezone(UTC).date() >= at.astimezone(UTC).date():
        return
    Standing.objects.get_or_create(
        student_id=row.student_id,
        day=last.astimezone(UTC).date(),
        defaults={"skills": standing_skills(row), "answers": row.answers},
    )


def standing_skills(row: Learner) -> dict[str, list[int]]:
    """Value and standard error of each skill, overall first, in thousandths of a logit."""
    ability = model.ability_from_json(row.ability)
    told = [model.skill(ability, model.OVERALL), *model.reported_skills(ability)]
    return {skill.facet: [round(UNIT * skill.value), round(UNIT * skill.error)] for skill in told}


def _note_confusions(
    student_id: int, before: Mapping[str, model.Evidence], after: Mapping[str, model.Evidence], at: datetime
) -> None:
    for slug, evidence in after.items():
        was = before[slug].is_shown if slug in before else False
        if evidence.is_shown and not was:
            FoundConfusion.objects.get_or_create(
                student_id=student_id, confusion=slug, cleared_at=None, defaults={"shown_at": at}
            )
        elif was and not evidence.is_shown:
            FoundConfusion.objects.filter(student_id=student_id, confusion=slug, cleared_at=None).update(cleared_at=at)


def _remember(student_id: int, item: Item, opened: Mapping[str, Any], choice: int, outcome: str, at: datetime) -> None:
    """Herbs and pairs met in an answer, moved on; a pair begins when one herb was taken for another, or was asked about."""
    begun, known = _met(item, opened, choice)
    if not begun and not known:
        return
    met = begun | known
    mine = Memory.objects.filter(student_id=student_id, first__in={first for first, _ in met})
    kept = {(first, second): state for first, second, state in mine.values_list("first", "second", "state")}
    rows = []
    for pair in sorted(begun | (known & kept.keys())):
        memory = model.reviewed(model.memory_from_json(kept[pair]) if pair in kept else None, outcome, at)
        state = model.memory_to_json(memory)
        rows.append(Memory(student_id=student_id, first=pair[0], second=pair[1], state=state, due_at=memory.due))
    Memory.objects.bulk_create(
        rows, update_conflicts=True, unique_fields=["student", "first", "second"], update_fields=["state", "due_at"]
    )


def _met(item: Item, opened: Mapping[str, Any], choice: int) -> tuple[set[tuple[str, str]], set[tuple[str, str]]]:
    """What an answer begins or moves on, and what it moves on only where it was begun: (part, "") for an herb, or a pair."""
    if item.family in NOT_OF_HERBS:
        return set(), set()
    subject = opened.get("subject") or {}
    if "pair" in subject and item.family == "point-of-difference":
        return {_pair(*subject["pair"])}, set()
    begun = {(subject["part"], "")} if "part" in subject else set()
    known: set[tuple[str, str]] = set()
    if opened["response"] == "choose" and "part" in opened["options"][opened["key"]]:
        parts = [option["part"] for option in opened["options"]]
        key = parts[opened["key"]]
        begun.add((key, ""))
        if choice == opened["key"]:
            known = {_pair(key, other) for other in parts if other != key}
        else:
            begun.add(_pair(key, parts[choice]))
    return begun, known


def _pair(first: str, second: str) -> tuple[str, str]:
    return (first, second) if first < second else (second, first)


def _sum_up(cohort: str, offered: frozenset[str], taken: frozenset[str]) -> None:
    """Add to the cohort's sums. They are the last rows touched, so that they are held for as short as can be.

    Students of one cohort add to the same rows at once: where rows are locked one by one, they are locked in one order, or two of
    them could wait for each other for ever.
    """
    sums = CohortConfusion.objects.filter(cohort=cohort, confusion__in=sorted(offered))
    if connection.features.has_select_for_update:
        list(sums.order_by("confusion").select_for_update().values_list("pk"))
    took = Case(When(confusion__in=sorted(taken), then=1), default=0) if taken else 0
    sums.update(offered=F("offered") + 1, taken=F("taken") + took)
