"""Run inside the school's own database (manage.py shell): prints JSON of a practice session.

Positions of its questions, its length, how many have a mark, and how many answers were learned from.
"""

import json

from quizzes.models import Answer, Attempt, Learner

session = Attempt.objects.get(kind="practice")
positions = list(session.questions.values_list("position", flat=True))
marked = Answer.objects.filter(question__attempt=session, score__isnull=False).count()
print(json.dumps([positions, session.length, marked, Learner.objects.get().answers]))
