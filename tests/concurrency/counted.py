"""Run inside the school's own database (manage.py shell): prints every recorded answer as JSON."""

import json

from quizzes.models import Answer

rows = Answer.objects.values_list("question__attempt__code", "question__position", "choice", "reason", "score")
print(json.dumps([[str(code), *rest] for code, *rest in rows]))
