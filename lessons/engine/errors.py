"""What can go wrong when questions are generated."""


class NoValidItemError(Exception):
    """No item with a provable key exists for what was asked."""


class UnknownFamilyError(Exception):
    """An item family that does not exist."""
