"""Schools, their courses, and who belongs to them."""

from django.conf import settings
from django.db import models


class School(models.Model):
    """A school. Its administrators may do in every course of it what an owner may."""

    slug = models.SlugField(unique=True)
    name = models.CharField(max_length=120)
    administrators = models.ManyToManyField(settings.AUTH_USER_MODEL, related_name="administered_schools", blank=True)
    is_invented = models.BooleanField(default=False, help_text="A demo school that does not exist.")

    def __str__(self) -> str:
        return self.name


class Course(models.Model):
    """A course of a school, taught under one teaching set."""

    slug = models.SlugField(unique=True)
    title = models.CharField(max_length=120)
    school = models.ForeignKey(School, on_delete=models.CASCADE, related_name="courses")
    teaching_set = models.ForeignKey("herbs.TeachingSet", on_delete=models.PROTECT, related_name="courses")
    untrusted_families = models.JSONField(
        default=list, blank=True, help_text="Item families whose items students meet only one by one approved."
    )

    class Meta:
        ordering = ["title"]

    def __str__(self) -> str:
        return self.title


class Enrolment(models.Model):
    """A person's role in a course."""

    class Role(models.TextChoices):
        STUDENT = "student"
        ASSISTANT = "assistant"
        INSTRUCTOR = "instructor"
        OWNER = "owner"

    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="enrolments")
    course = models.ForeignKey(Course, on_delete=models.CASCADE, related_name="enrolments")
    role = models.CharField(max_length=20, choices=Role)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["user", "course"], name="one_role_per_course"),
            models.CheckConstraint(
                condition=models.Q(role__in=["student", "assistant", "instructor", "owner"]),
                name="enrolment_role_is_known",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.user_id} {self.role}"
