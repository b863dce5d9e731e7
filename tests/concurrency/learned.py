"""Run inside the school's own database (manage.py shell): what was learned, beside the answers it was learned from.

Prints JSON: for each student the answers learned from and those with a mark; for each confusion the cohort's sums and those of
its students.
"""

import json

from quizzes.models import Answer, CohortConfusion, Learner

students = []
own: dict[str, list[int]] = {}
for learner in Learner.objects.all():
    marked = Answer.objects.filter(question__attempt__student_id=learner.student_id, score__isnull=False).count()
    students.append([learner.answers, marked])
    for slug, row in learner.confusions.items():
        taken, offered = own.get(slug, [0, 0])
        own[slug] = [taken + row[2], offered + row[3]]
sums = {row.confusion: [row.taken, row.offered] for row in CohortConfusion.objects.filter(offered__gt=0)}
print(json.dumps({"students": students, "own": own, "sums": sums}))
