"""Run inside the school's own database (manage.py shell): makes thirty students with a drill of twenty questions each.

Prints one line of JSON: session key and drill code of each.
"""

import json
import uuid

from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore

from herbs.services import load_materia_medica
from lessons.models import User
from quizzes.services import start_attempt

load_materia_medica(folder=settings.MATERIA_MEDICA_DIR)
made = []
for number in range(30):
    user = User.objects.create_user(f"student-{number}-{uuid.uuid4().hex[:6]}", is_invented=True)
    session = SessionStore()
    session[SESSION_KEY], session[BACKEND_SESSION_KEY] = str(user.pk), settings.AUTHENTICATION_BACKENDS[-1]
    session[HASH_SESSION_KEY] = user.get_session_auth_hash()
    session.save()
    attempt = start_attempt(student=user, code=uuid.uuid4(), action="", length=20)
    made.append([session.session_key, str(attempt.code)])
print(json.dumps(made))
