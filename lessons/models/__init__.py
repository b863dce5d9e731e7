"""Rows of people, courses and items."""

from .courses import Course, Enrolment, School
from .items import Item
from .people import User

__all__ = ["Course", "Enrolment", "Item", "School", "User"]
