"""Rows of people, courses and items."""

from .people import User

__all__ = ["User"]
