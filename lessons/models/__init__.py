"""People, courses and the item bank."""

from .courses import Course, Enrolment, School
from .items import Item, ItemReview
from .people import User
from .plans import DrillPlan, Form, FormItem

__all__ = ["Course", "DrillPlan", "Enrolment", "Form", "FormItem", "Item", "ItemReview", "School", "User"]
