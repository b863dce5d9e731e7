"""The words of the trade: sources, sites, actions, states, findings, person words."""

from django.db import models


class Basis(models.TextChoices):
    """What a source rests on."""

    PUBLISHED = "published", "published"
    COMMON_PRACTICE = "common-practice", "common practice, no source"
    MEMORY = "memory", "from memory, to be verified"
    INVENTED = "invented", "invented for the demo"


class Tradition(models.Model):
    """A school of thought whose sources speak with one vocabulary."""

    slug = models.SlugField(unique=True)
    name = models.CharField(max_length=80)

    def __str__(self) -> str:
        return self.name


class Source(models.Model):
    """Where a claim comes from."""

    slug = models.SlugField(unique=True)
    tradition = models.ForeignKey(Tradition, on_delete=models.PROTECT, related_name="sources")
    citation = models.TextField()
    year = models.PositiveSmallIntegerField(null=True)
    basis = models.CharField(max_length=20, choices=Basis)
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.CheckConstraint(condition=models.Q(basis__in=Basis.values), name="source_basis_is_known"),
        ]

    def __str__(self) -> str:
        return self.citation


class Term(models.Model):
    """One word of a closed vocabulary with what else is known of it, as the vocabulary files have it."""

    class Kind(models.TextChoices):
        SITE = "site"
        ACTION = "action"
        PERSON_WORD = "person-word"
        STATE = "state"
        TASTE = "taste"
        CONSTITUENT = "constituent"
        PREPARATION = "preparation"
        FORM = "form"
        HABIT = "habit"
        MENSTRUUM = "menstruum"
        SEASON = "season"
        SOWING = "sowing"
        CORRESPONDENCE = "correspondence"
        CROSS_WALK = "cross-walk"
        TASTE_RULE = "taste-rule"
        DEPARTURE = "departure"
        FINDING = "finding"
        ORDER_FINDING = "order-finding"
        RED_FLAG = "red-flag"
        MIXED_PATTERN = "mixed-pattern"
        DERIVED_RULE = "derived-rule"
        ASKING = "asking"
        SCENARIO = "scenario"

    kind = models.CharField(max_length=20, choices=Kind)
    slug = models.SlugField(max_length=80, db_index=False)
    name = models.CharField(max_length=200)
    position = models.PositiveSmallIntegerField(default=0)
    details = models.JSONField(default=dict)

    class Meta:
        ordering = ["kind", "position"]
        constraints = [
            models.UniqueConstraint(fields=["kind", "slug"], name="term_once_per_kind"),
        ]

    def __str__(self) -> str:
        return self.name
