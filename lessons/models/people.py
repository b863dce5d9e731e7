"""The people who sign in."""

from django.contrib.auth.models import AbstractUser
from django.db import models


class User(AbstractUser):
    """A person with an account. Roles are per course, never on the user."""

    display_name = models.CharField(max_length=120, blank=True)
    is_invented = models.BooleanField(default=False, help_text="A demo person who does not exist.")

    def __str__(self) -> str:
        return self.display_name or self.username
