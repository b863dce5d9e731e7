"""Run inside the school's own database (manage.py shell): begins a practice session; prints its session key and code."""

import json
import uuid

from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore

from herbs.services import load_materia_medica
from lessons.models import User
from quizzes.practice import start_practice

load_materia_medica(folder=settings.MATERIA_MEDICA_DIR)
user = User.objects.create_user(f"student-{uuid.uuid4().hex[:6]}", is_invented=True)
session = SessionStore()
session[SESSION_KEY], session[BACKEND_SESSION_KEY] = str(user.pk), settings.AUTHENTICATION_BACKENDS[-1]
session[HASH_SESSION_KEY] = user.get_session_auth_hash()
session.save()
print(json.dumps([session.session_key, str(start_practice(student=user, code=uuid.uuid4(), course=None).code)]))
