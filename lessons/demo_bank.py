"""The demo's item bank: approved items of every family, drafts to review, and a form offered to the demo course."""

import secrets
from uuid import uuid4

from . import plans
from .bank import question_maker
from .engine import FAMILIES, Constraints, NoValidItemError
from .engine import Item as OpenedItem
from .engine.trust import PROVED
from .models import Course, Item, User
from .services import freeze_items

PLAN = "first-expectorants"
FOR_THE_PLAN = {
    "best-fit": 40,
    "would-aggravate": 6,
    "point-of-difference": 4,
}  # items within the plan's class and herbs
OF_EACH = 4  # approved items of every family beside those, and as many drafts
SEED_BITS = 62


def stock_bank(*, course: Course, by: User) -> int:
    """Fill the bank once; how many items it made. The items are proved as any, their approval is invented with the school."""
    if Item.objects.banked().exists():
        return 0
    plan = plans.read_plan(plans.shipped_plans()[PLAN])
    narrow = Constraints("expectorant", scope=plan.scope)
    approved = [item for family, count in FOR_THE_PLAN.items() for item in _items(family, count, narrow)]
    approved += [item for family in PROVED for item in _items(family, OF_EACH, Constraints())]
    drafts = [item for family in FAMILIES for item in _items(family, OF_EACH, Constraints())]
    made = freeze_items(contents=approved, review=Item.Review.APPROVED)
    made += freeze_items(contents=drafts, review=Item.Review.DRAFT)
    found = plans.assemble_form(row=plans.save_plan(plan=plan, by=by), by=by, code=uuid4())
    if found.form is not None:
        plans.offer_form(form=found.form, course=course)
    return len(made)


def _items(family: str, count: int, constraints: Constraints) -> list[OpenedItem]:
    maker, made = question_maker(), []
    for _ in range(count):
        try:
            made.append(maker.make(family, secrets.randbits(SEED_BITS), constraints))
        except NoValidItemError:
            break  # this family has nothing within the limits
    return made
