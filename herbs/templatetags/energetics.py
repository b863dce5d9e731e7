"""Filters for degrees."""

from django import template

from herbs.monograph import signed as signed_number

register = template.Library()


@register.filter
def signed(value: float) -> str:
    """A signed number as it is printed: +2, a true minus, 0."""
    return signed_number(value)
