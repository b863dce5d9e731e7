"""People, courses and the item bank."""

from .courses import Course, Enrolment, School
from .items import Item, ItemReview
from .notes import HerbNote
from .people import User
from .plans import DrillPlan, Form, FormItem

__all__ = ["Course", "DrillPlan", "Enrolment", "Form", "FormItem", "HerbNote", "Item", "ItemReview", "School", "User"]
