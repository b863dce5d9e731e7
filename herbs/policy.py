"""Who may see and change teaching sets. Who may change the materia medica at all is decided where roles are known."""

from typing import Any

import rules

from .models import TeachingSet


@rules.predicate
def owns_set(user: Any, teaching_set: TeachingSet | None) -> bool:
    """The user made this teaching set."""
    return teaching_set is not None and teaching_set.owner_id is not None and teaching_set.owner_id == user.pk


@rules.predicate
def is_shipped(user: Any, teaching_set: TeachingSet | None) -> bool:
    """The teaching set came with the materia medica: everybody may see it, nobody changes it here."""
    return teaching_set is not None and not teaching_set.is_local


@rules.predicate
def is_colleague(user: Any, teaching_set: TeachingSet | None) -> bool:
    """The teaching set was shared with the user."""
    return teaching_set is not None and teaching_set.colleagues.filter(pk=user.pk).exists()


rules.add_perm("herbs.view_teachingset", is_shipped | owns_set | is_colleague)
rules.add_perm("herbs.change_teachingset", owns_set)
