"""Measure the project's own speed. Only ratios fail."""

import os
import subprocess
import sys
import time
from typing import Any
from uuid import uuid4

import numpy as np
from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser

from herbs.catalogue import engine_teaching_set, materia_medica
from herbs.models import TeachingSet
from herbs.services import load_materia_medica
from lessons.bank import question_maker
from lessons.models import User
from quizzes.bench import distractors, forms, growth, items, next_item, round_trip, search
from quizzes.bench.databases import throwaway
from quizzes.bench.floor import create_table
from quizzes.services import start_attempt

PARTS = ("questions", "distractors", "forms", "answers", "next", "search")
CACHED = 200  # cached profiles over compiling
LIMIT = 3.0  # answer round trip over floor, at the median and at the 95th percentile
MIN_ITEMS = 150
DRILLS = 6  # of 20 questions for each client


class Command(BaseCommand):
    """Items a second; the answer round trip against the floor at 1 and 4 clients."""

    help = (
        "Measure speed in a throw-away database of the kind that DATABASE_URL names; fails when a ratio is above its limit.\n"
        "example: python manage.py bench --clients 1 4"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        """How many clients, how many workers."""
        parser.add_argument("--clients", type=int, nargs="+", default=[1, 4, 8])
        parser.add_argument("--workers", type=int, default=2)
        parser.add_argument("--part", choices=PARTS, help="only this part; all when left out")
        parser.add_argument("--inside", action="store_true", help="used by the command itself")

    def handle(self, *args: Any, **options: Any) -> None:
        """Start again inside a throw-away database, then measure."""
        if not options["inside"]:
            arguments = ["--workers", str(options["workers"]), "--clients", *map(str, options["clients"])]
            if options["part"]:
                arguments += ["--part", options["part"]]
            command = [sys.executable, str(settings.BASE_DIR / "manage.py"), "bench", "--inside", *arguments]
            with throwaway(os.environ.get("DATABASE_URL", "")) as address:
                environment = {**os.environ, "DATABASE_URL": address}
                code = subprocess.run(command, check=False, env=environment).returncode  # noqa: S603  (our own command)
            if code:
                raise CommandError("A ratio is above its limit; see above.")
            return
        self._prepare()
        wanted = [options["part"]] if options["part"] else PARTS
        failed = self._items() if "questions" in wanted else False
        if "distractors" in wanted:
            failed |= self._distractors()
        if "forms" in wanted:
            failed |= self._forms()
        if "answers" in wanted:
            failed |= self._round_trips(options["clients"], options["workers"])
        if "next" in wanted:
            failed |= self._next(options["workers"])
        if "search" in wanted:
            failed |= self._search(options["workers"])
        if failed:
            sys.exit(1)

    def _prepare(self) -> None:
        self.stdout.write("Preparing a database for the bench ...")
        call_command("migrate", verbosity=0)
        load_materia_medica(folder=settings.MATERIA_MEDICA_DIR)
        create_table()

    def _items(self) -> bool:
        self.stdout.write("Making questions ...")
        speed = items.measure(question_maker())
        self.stdout.write(
            f"  best-fit: {speed.items_per_second:.0f} items/s in steady state; one item costs {speed.ratio:.1f} products of "
            f"256 x 256 ({speed.product_seconds * 1e6:.0f} microseconds each)"
        )
        medica = question_maker().materia_medica
        begin = time.perf_counter()
        for _ in range(100):
            materia_medica()
        cached = (time.perf_counter() - begin) / 100
        teaching_set = engine_teaching_set(TeachingSet.objects.get(is_default=True))
        _, fresh = growth.compiled(medica, list(medica.parts.values()), teaching_set)
        self.stdout.write(
            f"  profiles: compiled in {fresh * 1000:.0f} ms, read from the cache in {cached * 1000:.2f} ms, "
            f"{fresh / cached:.0f} times faster"
        )
        self.stdout.write("Growing the materia medica with synthetic parts ...")
        steps = []
        for parts in (160, 500, 5000):
            steps.append(growth.measure(medica, question_maker().scenery, teaching_set, parts))
            self.stdout.write(
                f"  {parts:>5} parts: compiled in {steps[-1].compile_seconds:.2f} s, {steps[-1].items_per_second:.0f} items/s"
            )
        fall = steps[0].items_per_second / steps[-1].items_per_second
        word = "within" if fall <= growth.LIMIT else "ABOVE"
        self.stdout.write(
            f"  items/s at 160 parts over items/s at 5,000: {fall:.2f}, {word} the limit of {growth.LIMIT}"
        )
        return fall > growth.LIMIT

    def _distractors(self) -> bool:
        if not distractors.is_available():
            self.stdout.write("Distractors: not measured; for that, pip install --group bench")
            return False
        self.stdout.write("Choosing distractors beside CP-SAT ...")
        race = distractors.measure(question_maker())
        within = race.faster >= distractors.LIMIT and race.equal == race.cases
        self.stdout.write(
            f"  {race.equal} of {race.cases} of equal objective; {race.ours * 1e6:.0f} microseconds, {race.faster:.1f} "
            f"times faster than its solve alone, {'within' if within else 'BELOW'} the limit of {distractors.LIMIT}"
        )
        return not within

    def _forms(self) -> bool:
        self.stdout.write("Assembling forms of 40 items from 20,000, and explaining plans that cannot be met ...")
        found = forms.run()
        late = found.p95 > forms.LIMIT or found.met < found.plans or found.explained < found.spoilt
        self.stdout.write(
            f"  {found.met} of {found.plans} feasible plans met exactly, p50 {found.p50:.2f} s, p95 {found.p95:.2f} s, "
            f"{'ABOVE' if late else 'within'} the limit of {forms.LIMIT} s; {found.explained} of {found.spoilt} "
            f"others explained, {found.irreducible} of the sets proved minimal, {found.nearest_met} nearest plans met, "
            f"p50 {found.explain_p50:.2f} s"
        )
        return late

    def _round_trips(self, counts: list[int], workers: int) -> bool:
        failed = False
        with round_trip.server(os.environ["DATABASE_URL"], workers) as running:
            for count in counts:
                self.stdout.write(f"Answer round trip, {count} client{'s' if count > 1 else ''}, {workers} workers ...")
                times = round_trip.measure(running.port, [self._client() for _ in range(count)])
                for name in ("floor", "choice", "reason"):
                    taken = np.array(getattr(times, name)) * 1000
                    self.stdout.write(
                        f"  {name:<7} p50 {np.percentile(taken, 50):6.2f} ms   p95 {np.percentile(taken, 95):6.2f} ms"
                        f"   n {len(taken)}"
                    )
                for percent in (50, 95):
                    ratio = times.ratio(percent)
                    failed |= ratio > LIMIT
                    word = "within" if ratio <= LIMIT else "ABOVE"
                    self.stdout.write(f"  answer / floor at p{percent}: {ratio:.2f}, {word} the limit of {LIMIT}")
        return failed

    def _next(self, workers: int) -> bool:
        self.stdout.write(
            f"Next item of practice: {next_item.ITEMS:,} approved items, {next_item.STUDENTS:,} students with histories ..."
        )
        user, session = self._session()
        code = next_item.prepare(question_maker(), user, self.stdout.write)
        with round_trip.server(os.environ["DATABASE_URL"], 1) as running:
            times = next_item.measure(running.port, session, code)
        failed = False
        for percent in (50, 95):
            ratio = times.ratio(percent)
            failed |= ratio > next_item.LIMIT and percent == 95
            word = "within" if ratio <= next_item.LIMIT else "ABOVE"
            self.stdout.write(
                f"  next item / floor at p{percent}: {ratio:.2f}, {word} the limit of {next_item.LIMIT} "
                f"(next item {np.percentile(times.following, percent) * 1000:.1f} ms, "
                f"floor {np.percentile(times.floor, percent) * 1000:.1f} ms; the reason before it, which also chooses what "
                f"comes next, {np.percentile(times.reason, percent) * 1000:.1f} ms)"
            )
        return failed

    def _search(self, workers: int) -> bool:
        self.stdout.write("Copying herbs for the search at size ...")
        parts, claims = search.grow()
        begin = time.perf_counter()
        materia_medica()
        fresh = time.perf_counter() - begin
        begin = time.perf_counter()
        for _ in range(100):
            materia_medica()
        cached = (time.perf_counter() - begin) / 100
        faster = fresh / cached
        word = "within" if faster >= CACHED else "BELOW"
        self.stdout.write(
            f"  {parts} parts, {claims} claims: read and compiled in {fresh:.1f} s; from the cache {faster:.0f} times faster, "
            f"{word} the limit of {CACHED}"
        )
        failed = faster < CACHED
        with round_trip.server(os.environ["DATABASE_URL"], 1) as running:
            times = search.measure(running.port, self._session()[1])
        for percent in (50, 95):
            ratio = times.ratio(percent)
            failed |= ratio > search.LIMIT
            word = "within" if ratio <= search.LIMIT else "ABOVE"
            self.stdout.write(
                f"  search / floor at p{percent}: {ratio:.2f}, {word} the limit of {search.LIMIT} "
                f"(search {np.percentile(times.search, percent) * 1000:.1f} ms)"
            )
        return failed

    def _session(self) -> tuple[User, str]:
        """A signed-in person of the bench's own."""
        user = User.objects.create_user(f"bench-{uuid4().hex[:8]}", is_invented=True)
        session = SessionStore()
        session[SESSION_KEY], session[BACKEND_SESSION_KEY] = str(user.pk), settings.AUTHENTICATION_BACKENDS[-1]
        session[HASH_SESSION_KEY] = user.get_session_auth_hash()
        session.save()
        return user, str(session.session_key)

    def _client(self) -> round_trip.Client:
        user, session = self._session()
        attempts = [start_attempt(student=user, code=uuid4(), action="", length=20) for _ in range(DRILLS)]
        questions = tuple((str(attempt.code), position) for attempt in attempts for position in range(1, 21))
        return round_trip.Client(session, questions)
