"""The item bank: frozen questions, their review, and who reviewed them."""

from functools import cached_property

from django.conf import settings
from django.db import models

from lessons.engine import Item as OpenedItem
from lessons.engine import opened
from lessons.querysets import ItemQuerySet


class Item(models.Model):
    """A generated question frozen by the hash of its content; it is graded as stored, never generated again.

    The columns beside ``content`` are what lists and plans look at, worked out once from the content. ``exposure`` counts the
    drills the item was put into. ``earlier`` is the item whose wording this one edits; ``sibling_of`` the item of whose class,
    site and state this one is another question.
    """

    class Review(models.TextChoices):
        GENERATED = "generated", "made for one drill"
        DRAFT = "draft", "draft"
        APPROVED = "approved", "approved"
        RETIRED = "retired", "retired"

    content_hash = models.CharField(max_length=64, unique=True)
    family = models.SlugField(db_index=False)
    action = models.SlugField(db_index=False, blank=True)
    site = models.SlugField(db_index=False, blank=True)
    state = models.SlugField(db_index=False, blank=True, help_text="Slug of the pattern presented.")
    axis = models.SlugField(db_index=False, blank=True, help_text="The axis the item turns on.")
    key_part = models.SlugField(max_length=140, db_index=False, blank=True)
    key_position = models.PositiveSmallIntegerField(null=True)
    herbs = models.JSONField(default=list, help_text="Slugs of every part shown.")
    faults = models.JSONField(default=list)
    skeleton = models.CharField(max_length=200, blank=True)
    model = models.CharField(max_length=64, blank=True, help_text="Digest of the item model.")
    difficulty = models.SmallIntegerField(default=0, help_text="Prior, in thousandths of a logit.")
    teaching_set = models.SlugField(db_index=False)
    data_version = models.CharField(max_length=64)
    engine_version = models.CharField(max_length=20)
    content = models.JSONField()
    frozen_at = models.DateTimeField(auto_now_add=True)
    review = models.CharField(max_length=12, choices=Review, default=Review.GENERATED)
    review_reason = models.CharField(max_length=200, blank=True)
    exposure = models.PositiveIntegerField(default=0)
    earlier = models.ForeignKey("self", on_delete=models.SET_NULL, null=True, related_name="edits")
    sibling_of = models.ForeignKey("self", on_delete=models.SET_NULL, null=True, related_name="siblings")

    objects = ItemQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(review__in=["generated", "draft", "approved", "retired"]), name="review_is_known"
            ),
            models.CheckConstraint(
                condition=~models.Q(review="retired") | ~models.Q(review_reason=""), name="retired_with_a_reason"
            ),
        ]
        # The item bank lists what is under review, by family and class.
        indexes = [models.Index(fields=["review", "family", "action"], name="items_under_review")]

    def __str__(self) -> str:
        return f"{self.family} {self.content_hash[:8]}"

    @property
    def code(self) -> str:
        """The item's public name: the first half of its hash."""
        return self.content_hash[:32]

    @cached_property
    def opened(self) -> OpenedItem:
        """The item as it is read: with the texts of its reasons and what each option does."""
        return opened(self.content)


class ItemReview(models.Model):
    """One step in the review of an item: who, when, from and to which state, and why."""

    item = models.ForeignKey(Item, on_delete=models.CASCADE, related_name="reviews")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="item_reviews")
    at = models.DateTimeField(auto_now_add=True)
    before = models.CharField(max_length=12, choices=Item.Review)
    after = models.CharField(max_length=12, choices=Item.Review)
    reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"{self.item_id}: {self.before} to {self.after}"
