"""The next item of practice against the floor: 20,000 approved items, 10,000 students with their histories."""

import multiprocessing
import random
import uuid
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import timedelta

import numpy as np
from django.utils import timezone

from lessons.bank import QuestionMaker
from lessons.engine import Constraints, NoValidItemError
from lessons.models import Item, ItemReview, User
from lessons.services import content_hash, freeze_items, item_row
from quizzes import practice
from quizzes.engine import learner as model
from quizzes.models import Answer, Attempt, CohortConfusion, Learner, Memory, Question

from .round_trip import WARM, post

LIMIT = 2.0  # next item over floor, at the 95th percentile
ITEMS, STUDENTS, ANSWERS = 20_000, 10_000, 30
MADE = 500  # items that are really made; the others are copies that differ in seed and difficulty
OWN = 400  # answers of the student who is measured
ROUNDS = 160
FAMILIES = ("best-fit", "would-aggravate", "name-the-state", "point-of-difference", "caution")
BATCH = 2000
SPREAD = 1000  # standard deviation of the copies' difficulty, thousandths of a logit


@dataclass(frozen=True)
class Times:
    """Seconds of each request."""

    floor: tuple[float, ...]
    following: tuple[float, ...]
    reason: tuple[float, ...]

    def ratio(self, percent: float) -> float:
        """Next item over floor at a percentile."""
        return float(np.percentile(self.following, percent) / np.percentile(self.floor, percent))


def stock(maker: QuestionMaker, rng: random.Random) -> None:
    """Fill the bank."""
    made = []
    for seed in range(MADE):
        try:
            made.append(maker.make(FAMILIES[seed % len(FAMILIES)], seed, Constraints()))
        except NoValidItemError:
            continue
    freeze_items(contents=made, review=Item.Review.APPROVED)
    rows = []
    for number in range(ITEMS - len(made)):
        row = item_row(made[number % len(made)], review=Item.Review.APPROVED)
        row.content = {**row.content, "copy": number}
        row.content_hash, row.difficulty = content_hash(row.content), round(rng.gauss(0, SPREAD))
        rows.append(row)
    Item.objects.bulk_create(rows, batch_size=BATCH)
    ItemReview.objects.create(
        item=Item.objects.latest("pk"), before="draft", after="approved"
    )  # what is kept is old now


def histories(rng: random.Random, say: Callable[[str], None]) -> None:
    """Students, each with a finished drill, a learner's record and memories."""
    items = list(Item.objects.values_list("pk", flat=True))
    parts = list(Item.objects.exclude(key_part="").values_list("key_part", flat=True).distinct())
    users = User.objects.bulk_create(
        [User(username=f"past-{number}", password="!", is_invented=True) for number in range(STUDENTS)],  # noqa: S106
        batch_size=BATCH,
    )
    for start in range(0, STUDENTS, BATCH):
        some = users[start : start + BATCH]
        for user in some:
            user.pk = user.pk or User.objects.get(username=user.username).pk
        _past(some, items, parts, ANSWERS, rng)
        say(f"  {start + len(some):,} students")
    CohortConfusion.objects.bulk_create(
        [CohortConfusion(cohort="", confusion=slug, offered=90_000, taken=7_000) for slug in model.SLUGS],
        ignore_conflicts=True,
    )


def _past(users: Iterable[User], items: list[int], parts: list[str], answers: int, rng: random.Random) -> None:
    now = timezone.now()
    users = list(users)
    drills = Attempt.objects.bulk_create(
        [Attempt(student=user, title="Past", length=answers, state="finished", grading_version="2") for user in users]
    )
    questions = Question.objects.bulk_create(
        [
            Question(attempt=drill, position=number, item_id=item)
            for drill in drills
            for number, item in enumerate(rng.sample(items, answers), 1)
        ],
        batch_size=BATCH,
    )
    Answer.objects.bulk_create(
        [
            Answer(
                question=question,
                choice=0,
                reason=0,
                reasoned_at=now,
                score=1000,
                outcome="both-right",
                grading_version="2",
            )
            for question in questions
        ],
        batch_size=BATCH,
    )
    ability = model.ability_to_json(
        model.prior(model.facets(action="expectorant", axis="moisture", system="respiratory"))
    )
    record = {slug: [0.5, 6.0, 1, 6, 6, 0] for slug in model.SLUGS}
    Learner.objects.bulk_create(
        [Learner(student=user, ability=ability, confusions=record, answers=answers, changed_at=now) for user in users]
    )
    memory = model.memory_to_json(model.reviewed(None, "both-right", now - timedelta(days=9)))
    Memory.objects.bulk_create(
        [
            Memory(student=user, first=part, state=memory, due_at=now + timedelta(days=rng.randrange(-3, 9)))
            for user in users
            for part in rng.sample(parts, 12)
        ],
        batch_size=BATCH,
    )


def prepare(maker: QuestionMaker, user: User, say: Callable[[str], None]) -> str:
    """Fill the database and begin a session for the student who is measured; the session's code."""
    rng = random.Random(2026)
    stock(maker, rng)
    histories(rng, say)
    items = list(Item.objects.values_list("pk", flat=True))
    parts = list(Item.objects.exclude(key_part="").values_list("key_part", flat=True).distinct())
    _past([user], items, parts, OWN, rng)
    return str(practice.start_practice(student=user, code=uuid.uuid4(), course=None).code)


def work(port: int, session: str, code: str, out: "multiprocessing.SimpleQueue[Times]") -> None:
    """Answer, then floor and next item in turn."""
    floor, following, reason = [], [], []
    for number in range(1, ROUNDS + 1):
        base = f"/drills/{code}/{number}/"
        post(port, f"{base}reading/", session, {"temperature": "1", "moisture": "0", "tone": "0", "movement": "0"})
        post(port, f"{base}choice/", session, {"choice": str(number % 4)})
        answered = post(port, f"{base}reason/", session, {"reason": "0"})
        spent = post(port, "/floor/", session, {"x": "1"})
        after = post(port, f"/drills/practice/{code}/next/", session, {"position": str(number + 1)})
        if number > WARM:
            floor.append(spent)
            following.append(after)
            reason.append(answered)
    out.put(Times(tuple(floor), tuple(following), tuple(reason)))


def measure(port: int, session: str, code: str) -> Times:
    """One client, in a process of its own."""
    out: multiprocessing.SimpleQueue[Times] = multiprocessing.SimpleQueue()
    process = multiprocessing.Process(target=work, args=(port, session, code, out))
    process.start()
    process.join()
    if process.exitcode:
        raise RuntimeError("The client of the bench broke off; see above.")
    return out.get()
