"""What an item may be about."""

from dataclasses import dataclass
from typing import Any

from .scenery import Asking, PatternForm


@dataclass(frozen=True)
class Constraints:
    """An action class, a body site, a state (slug of a pattern), and the parts in scope (slugs); None means any."""

    action: str | None = None
    site: str | None = None
    state: str | None = None
    scope: frozenset[str] | None = None

    def admits(self, asking: Asking) -> bool:
        """Whether an asking is within the constraints."""
        return self.action in (None, asking.action) and self.site in (None, asking.site)

    def admits_state(self, form: PatternForm) -> bool:
        """Whether a state is within the constraints."""
        return self.state in (None, form.slug)

    def admits_part(self, part: str) -> bool:
        """Whether a part is in scope."""
        return self.scope is None or part in self.scope

    def as_mapping(self) -> dict[str, Any]:
        """For the recipe: what is set, and nothing else."""
        found = {"action": self.action, "site": self.site, "state": self.state}
        scope = {"scope": sorted(self.scope)} if self.scope is not None else {}
        return {key: value for key, value in found.items() if value is not None} | scope
