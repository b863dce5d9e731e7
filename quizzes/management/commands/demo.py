"""Run the app with a demo school."""

import os
import socket
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import connection

from herbs.services import load_materia_medica
from lessons.demo import COURSE, SCHOOL, ForeignDatabaseError, check_database_is_ours, make_school
from lessons.demo_bank import stock_bank
from lessons.models import Course, School, User
from quizzes.demo_practice import simulate_practice

HOST = "127.0.0.1"
WORKED = "second-student"


class Command(BaseCommand):
    """Migrates, loads the materia medica, makes the demo school, prints its accounts and serves on this machine only."""

    help = "Run the app with a demo school.\nexample: python manage.py demo --port 8000"
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        """Port, or only prepare."""
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument("--no-serve", action="store_true", help="prepare everything, then stop")

    def handle(self, *args: Any, **options: Any) -> None:
        """Prepare and serve."""
        if settings.PRODUCTION:
            raise CommandError("The demo is for one's own machine. Unset COUNTERPOISE_PRODUCTION to run it.")
        port = options["port"]
        if not options["no_serve"]:
            self._check_port(port)
        try:
            if {User._meta.db_table, School._meta.db_table} <= set(connection.introspection.table_names()):
                check_database_is_ours()
            self.stdout.write("Preparing the database ...")
            call_command("migrate", verbosity=0, interactive=False, skip_checks=True)
            check_database_is_ours()
        except ForeignDatabaseError as error:
            raise CommandError(str(error)) from None
        self.stdout.write("Loading the materia medica ...")
        loaded = load_materia_medica(folder=settings.MATERIA_MEDICA_DIR)
        self.stdout.write(f"  data version {loaded.data_version}{'' if loaded.changed else ', already loaded'}")
        accounts = make_school(passwords=settings.LOCAL_DIR / "demo_accounts.json")
        self.stdout.write("Filling the item bank ...")
        made = stock_bank(course=Course.objects.get(slug=COURSE), by=User.objects.get(username="instructor"))
        self.stdout.write(f"  {made} items made" if made else "  already filled")
        self.stdout.write("Simulating a month of one student's work ...")
        answers = simulate_practice(course=Course.objects.get(slug=COURSE), student=User.objects.get(username=WORKED))
        self.stdout.write(f"  {answers} answers" if answers else "  already there")
        self.stdout.write(f"\n{SCHOOL}. Accounts:")
        for account in accounts:
            self.stdout.write(f"  {account.role:<21} {account.username:<15} password {account.password}")
        if options["no_serve"]:
            return
        self.stdout.write(f"\nOpen http://{HOST}:{port}/ and stop with Ctrl-C.\n")
        self.stdout.flush()
        os.environ["DJANGO_RUNSERVER_HIDE_WARNING"] = "true"
        call_command("runserver", f"{HOST}:{port}", use_reloader=False, verbosity=0, skip_checks=True)

    def _check_port(self, port: int) -> None:
        with socket.socket() as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((HOST, port))
            except OSError:
                raise CommandError(
                    f"Something else is listening on port {port}. Start with another: python manage.py demo --port {port + 1}"
                ) from None
