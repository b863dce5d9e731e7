"""The cache that all workers share, for rate limits, is a table of the database."""

from django.core.management import call_command
from django.db import migrations


def create(apps, schema_editor):
    call_command("createcachetable", database=schema_editor.connection.alias, verbosity=0)


class Migration(migrations.Migration):
    dependencies = [("lessons", "0002_courses_and_items")]
    operations = [migrations.RunPython(create, migrations.RunPython.noop)]
