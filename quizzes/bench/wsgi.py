"""The server entry point of the bench: the real site with the floor view added."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
application = get_wsgi_application()

from django.conf import settings  # noqa: E402

settings.BENCH = True
settings.ROOT_URLCONF = "quizzes.bench.floor"
