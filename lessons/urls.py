"""Addresses for instructors: how questions are made, and what teaching sets change."""

from django.urls import path

from . import courses, note_pages, set_pages, views

app_name = "lessons"
urlpatterns = [
    path("questions/", views.item_samples, name="item-samples"),
    path("courses/<slug:slug>/", courses.course_detail, name="course-detail"),
    path("courses/<slug:slug>/members/", courses.course_members, name="course-members"),
    path("courses/<slug:slug>/members/<str:username>/role/", courses.member_role, name="member-role"),
    path("courses/<slug:slug>/questions/", courses.course_questions, name="course-questions"),
    path("courses/<slug:slug>/teaching-set/", set_pages.course_teaching_set, name="course-teaching-set"),
    path("notes/", note_pages.herb_notes, name="herb-notes"),
    path("notes/<slug:slug>/", note_pages.herb_note, name="herb-note"),
    path("teaching-sets/", set_pages.teaching_set_list, name="teaching-set-list"),
    path("teaching-sets/compare/", views.teaching_set_compare, name="teaching-set-compare"),
    path("teaching-sets/<slug:slug>/", set_pages.teaching_set_detail, name="teaching-set-detail"),
    path("teaching-sets/<slug:slug>/copy/", set_pages.teaching_set_copy, name="teaching-set-copy"),
    path("teaching-sets/<slug:slug>/edit/", set_pages.teaching_set_edit, name="teaching-set-edit"),
    path("teaching-sets/<slug:slug>/changes/", set_pages.teaching_set_changes, name="teaching-set-changes"),
    path("teaching-sets/<slug:slug>/share/", set_pages.teaching_set_share, name="teaching-set-share"),
]
