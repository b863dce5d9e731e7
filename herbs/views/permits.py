"""Who may open the pages that change the materia medica; the permissions are given where roles are known."""

from typing import Any

from django.contrib.auth.decorators import permission_required
from django.http import HttpRequest


class EditorRequest(HttpRequest):
    """A request that passed the login middleware: ``user`` is a person."""

    user: Any


may_edit = permission_required("herbs.change_herb", raise_exception=True)
may_picture = permission_required("herbs.change_picture", raise_exception=True)
