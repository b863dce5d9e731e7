"""Addresses for instructors: how questions are made, and what teaching sets change."""

from django.urls import path

from . import courses, views

app_name = "lessons"
urlpatterns = [
    path("questions/", views.item_samples, name="item-samples"),
    path("courses/<slug:slug>/", courses.course_detail, name="course-detail"),
    path("courses/<slug:slug>/members/", courses.course_members, name="course-members"),
    path("courses/<slug:slug>/members/<str:username>/role/", courses.member_role, name="member-role"),
    path("teaching-sets/", views.teaching_set_compare, name="teaching-set-compare"),
]
