"""Herbs, their parts, and everything said about them."""

from django.db import models

from herbs.querysets import HerbQuerySet, PartQuerySet

from .vocabulary import Source


class Herb(models.Model):
    """A species in the materia medica. A local one was added or changed by people here: loads leave it alone.

    ``old_names`` are names that older books print (Culpeper's spellings among them).
    """

    slug = models.SlugField(max_length=80, unique=True)
    latin = models.CharField(max_length=120)
    author = models.CharField(max_length=120, blank=True)
    family = models.CharField(max_length=60)
    name = models.CharField(max_length=80)
    other_names = models.JSONField(default=list)
    synonyms = models.JSONField(default=list)
    habit = models.SlugField(db_index=False)
    status = models.JSONField(default=list)
    status_note = models.TextField(blank=True)
    old_names = models.JSONField(default=list)
    is_local = models.BooleanField(default=False)
    digest = models.CharField(max_length=64)

    objects = HerbQuerySet.as_manager()

    class Meta:
        ordering = ["latin"]

    def __str__(self) -> str:
        return self.latin


class Part(models.Model):
    """The part of a plant that is used; energetics belong to it, not to the species.

    ``drug_name`` is what pharmacopoeias call it: Althaeae radix.
    """

    slug = models.SlugField(max_length=120, unique=True)
    herb = models.ForeignKey(Herb, on_delete=models.CASCADE, related_name="parts")
    name = models.CharField(max_length=60)
    label = models.CharField(max_length=120)
    drug_name = models.CharField(max_length=120, blank=True)
    usual_form = models.SlugField(db_index=False)
    position = models.PositiveSmallIntegerField(default=0)

    objects = PartQuerySet.as_manager()

    class Meta:
        ordering = ["herb__latin", "position"]

    def __str__(self) -> str:
        return self.label


class Claim(models.Model):
    """One thing said about a part: predicate, subject and amount, by a source, qualified by form or site.

    ``details`` holds what a predicate says further: a preparation's menstruum, alcohol (% by volume), ratio, dose band (low and
    high, in a unit, so many times a day) and longest course (days); a harvest's age of the plant (years).
    """

    class Predicate(models.TextChoices):
        DEGREE = "degree"
        ACTION = "action"
        AFFINITY = "affinity"
        TASTE = "taste"
        CONSTITUENT = "constituent"
        STATE = "state"
        CAUTION = "caution"
        INDICATION = "indication"
        PREPARATION = "preparation"
        HABITAT = "habitat"
        SOWING = "sowing"
        HARVEST = "harvest"
        DRYING = "drying"
        LOOKALIKE = "lookalike"
        CONSERVATION = "conservation"
        CORRESPONDENCE = "correspondence"

    class Seen(models.TextChoices):
        TABLE = "table", "read in a reference table"
        MEMORY = "memory", "cited from memory, to be verified"
        NOT_APPLICABLE = "", "no text to see"

    part = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="claims")
    predicate = models.CharField(max_length=20, choices=Predicate)
    subject = models.CharField(max_length=200)
    amount = models.FloatField(null=True)
    level = models.CharField(max_length=20, blank=True)
    reason = models.CharField(max_length=20, blank=True)
    form = models.SlugField(blank=True, db_index=False)
    site = models.SlugField(blank=True, db_index=False)
    source = models.ForeignKey(Source, on_delete=models.PROTECT, related_name="claims")
    seen = models.CharField(max_length=10, choices=Seen, blank=True)
    note = models.TextField(blank=True)
    details = models.JSONField(default=dict)
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.CheckConstraint(
                condition=~models.Q(predicate="degree") | models.Q(amount__gte=-4, amount__lte=4),
                name="degree_between_minus_4_and_4",
            ),
            models.CheckConstraint(
                condition=~models.Q(predicate__in=["action", "affinity"]) | models.Q(amount__gte=0, amount__lte=3),
                name="strength_between_0_and_3",
            ),
            models.UniqueConstraint(
                fields=["part", "predicate", "subject", "source", "form", "site"], name="claim_said_once_by_a_source"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part_id}: {self.predicate} {self.subject}"


class Release(models.Model):
    """One state of the materia medica: made by a load of files, or by an edit here on top of one.

    ``file_digest`` and ``vocabulary_digest`` tell which files were loaded last; ``data_version`` what is computed with now.
    """

    class Kind(models.TextChoices):
        LOAD = "load"
        EDIT = "edit"

    kind = models.CharField(max_length=10, choices=Kind, default=Kind.LOAD)
    file_digest = models.CharField(max_length=64)
    vocabulary_digest = models.CharField(max_length=64, default="")
    data_version = models.CharField(max_length=64)
    loaded_at = models.DateTimeField()
    counts = models.JSONField(default=dict)

    class Meta:
        get_latest_by = "id"

    def __str__(self) -> str:
        return self.data_version[:12]
