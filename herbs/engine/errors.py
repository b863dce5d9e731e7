"""What can go wrong in the energetic arithmetic."""


class EnergeticsError(Exception):
    """Base of every error the engine raises."""


class UnknownNameError(EnergeticsError):
    """A part, site, action or axis that the catalogue does not hold."""


class InvalidPatternError(EnergeticsError):
    """A pattern whose degrees, roots or constitution break the rules of the axes."""
