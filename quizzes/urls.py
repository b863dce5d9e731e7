"""Addresses of drills."""

from django.urls import path

from . import views

app_name = "quizzes"
urlpatterns = [
    path("", views.drill_list, name="drill-list"),
    path("start/", views.attempt_start, name="attempt-start"),
    path("of/<slug:slug>/<str:username>/", views.member_drills, name="member-drills"),
    path("<uuid:code>/", views.attempt_detail, name="attempt-detail"),
    path("<uuid:code>/results/", views.attempt_results, name="attempt-results"),
    path("<uuid:code>/<int:position>/", views.question_detail, name="question-detail"),
    path("<uuid:code>/<int:position>/choice/", views.question_choice, name="question-choice"),
    path("<uuid:code>/<int:position>/reason/", views.question_reason, name="question-reason"),
]
