"""What is kept for a time only goes when its time is over: whenever somebody logs in, so that no timetable is needed."""

from typing import Any

from django.contrib.auth.signals import user_logged_in
from django.contrib.sessions.models import Session
from django.core.cache import caches
from django.core.cache.backends.db import DatabaseCache
from django.db import connection
from django.dispatch import receiver
from django.utils import timezone


@receiver(user_logged_in, dispatch_uid="clear-what-expired")
def clear_expired(**kwargs: Any) -> None:
    """Delete sessions that have ended, and entries of the shared cache that have run out: among them tries to log in.

    Asked first, so that a class that logs in at once does not wait for one another where there is nothing to delete.
    """
    now = timezone.now()
    ended = Session.objects.filter(expire_date__lt=now)
    if ended.exists():
        ended.delete()
    shared = caches["default"]
    if isinstance(shared, DatabaseCache):
        _clear_cache(shared.cache_model_class._meta.db_table, connection.ops.adapt_datetimefield_value(now))


def _clear_cache(table: str, now: Any) -> None:
    quoted = connection.ops.quote_name(table)
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT 1 FROM {quoted} WHERE expires < %s LIMIT 1", [now])  # noqa: S608 (a name from the settings)
        if cursor.fetchone():
            cursor.execute(f"DELETE FROM {quoted} WHERE expires < %s", [now])  # noqa: S608
