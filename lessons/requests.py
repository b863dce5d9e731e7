"""The request of somebody who has signed in."""

from django.http import HttpRequest
from django_htmx.middleware import HtmxDetails

from .models import User


class PersonRequest(HttpRequest):
    """A request that passed the login and htmx middleware: ``user`` is a person, ``htmx`` says what htmx sent."""

    user: User
    htmx: HtmxDetails
