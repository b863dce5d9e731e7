"""The floor: the least that a page which records something can do.

Session and user lookup, a select of 5 rows among some 2,000, one insert in a transaction, a small template; the same
middleware and server as the real pages. Served only by the bench.
"""

import random

from django.conf import settings
from django.db import connection, models, transaction
from django.http import HttpRequest, HttpResponse
from django.template import engines
from django.views.decorators.http import require_POST

from config.urls import handler400, handler403, handler404, urlpatterns  # noqa: F401
from herbs.models import Claim

TEMPLATE = "<ul>{% for row in rows %}<li>{{ row.subject }} {{ row.amount }}</li>{% endfor %}</ul><p>{{ user }}</p>"


class FloorRow(models.Model):
    """A row written by the floor view, in a table that only the bench's database has."""

    user_id = models.BigIntegerField()
    text = models.CharField(max_length=40)

    objects: models.Manager["FloorRow"] = models.Manager()

    class Meta:
        app_label = "quizzes"
        managed = False
        db_table = "bench_floor"

    def __str__(self) -> str:
        return self.text


def create_table() -> None:
    """Make the floor's table."""
    with connection.schema_editor() as editor:
        editor.create_model(FloorRow)


@require_POST
def floor(request: HttpRequest) -> HttpResponse:
    """Read five, write one, render a little."""
    first = random.randrange(1, 2000)
    rows = list(Claim.objects.filter(pk__gte=first).order_by("pk")[:5])
    with transaction.atomic():
        FloorRow.objects.create(user_id=request.user.pk, text="floor")
    return HttpResponse(engines["django"].from_string(TEMPLATE).render({"rows": rows, "user": request.user}, request))


if getattr(settings, "BENCH", False):
    from django.urls import path

    urlpatterns = [*urlpatterns, path("floor/", floor)]
