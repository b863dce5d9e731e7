"""Courses and who belongs to them."""

from django.conf import settings
from django.db import models


class Course(models.Model):
    """A course of a school, taught under one teaching set."""

    slug = models.SlugField(unique=True)
    title = models.CharField(max_length=120)
    school = models.CharField(max_length=120)
    teaching_set = models.ForeignKey("herbs.TeachingSet", on_delete=models.PROTECT, related_name="courses")
    is_invented = models.BooleanField(default=False, help_text="A demo course of a school that does not exist.")

    def __str__(self) -> str:
        return self.title


class Enrolment(models.Model):
    """A person's role in a course."""

    class Role(models.TextChoices):
        STUDENT = "student"
        INSTRUCTOR = "instructor"

    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="enrolments")
    course = models.ForeignKey(Course, on_delete=models.CASCADE, related_name="enrolments")
    role = models.CharField(max_length=20, choices=Role)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["user", "course"], name="one_role_per_course"),
            models.CheckConstraint(
                condition=models.Q(role__in=["student", "instructor"]), name="enrolment_role_is_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.user_id} {self.role}"
