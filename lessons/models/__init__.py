"""Rows of people, courses and items."""

from .courses import Course, Enrolment
from .items import Item
from .people import User

__all__ = ["Course", "Enrolment", "Item", "User"]
