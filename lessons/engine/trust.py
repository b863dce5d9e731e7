"""Which families students may meet without a person's approval of each item."""

from .families import FAMILIES

# A family whose keys are proved may be trusted; one that needs a panel has no key of its own.
PROVED = tuple(name for name, module in FAMILIES.items() if not module.PANEL)
