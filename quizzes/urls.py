"""Addresses of drills."""

from django.urls import path

from . import bank_pages, grading_pages, plan_pages, practice_pages, standing_pages, views

app_name = "quizzes"
urlpatterns = [
    path("", views.drill_list, name="drill-list"),
    path("next/", practice_pages.next_work, name="next-work"),
    path("practice/start/", practice_pages.practice_start, name="practice-start"),
    path("practice/<uuid:code>/next/", practice_pages.practice_next, name="practice-next"),
    path("practice/<uuid:code>/stop/", practice_pages.practice_stop, name="practice-stop"),
    path("start/", views.attempt_start, name="attempt-start"),
    path("standing/", standing_pages.where_i_stand_page, name="where-i-stand"),
    path("history/", standing_pages.history, name="history"),
    path("of/<slug:slug>/<str:username>/", views.member_drills, name="member-drills"),
    path("grading/<slug:slug>/", grading_pages.course_grading, name="course-grading"),
    path("grading/<slug:slug>/regrade/", grading_pages.regrade_preview, name="regrade-preview"),
    path("grading/<slug:slug>/regrade/do/", grading_pages.course_regrade, name="course-regrade"),
    path("grading/<slug:slug>/regrades/<uuid:code>/undo/", grading_pages.regrade_undo, name="regrade-undo"),
    path("items/", bank_pages.item_list, name="item-list"),
    path("items/make/", bank_pages.item_make, name="item-make"),
    path("items/<slug:code>/", bank_pages.item_detail, name="item-detail"),
    path("items/<slug:code>/review/", bank_pages.item_review, name="item-review"),
    path("items/<slug:code>/wording/", bank_pages.item_wording, name="item-wording"),
    path("items/<slug:code>/sibling/", bank_pages.item_sibling, name="item-sibling"),
    path("plans/", plan_pages.plan_list, name="plan-list"),
    path("plans/new/", plan_pages.plan_new, name="plan-new"),
    path("plans/<slug:slug>/", plan_pages.plan_detail, name="plan-detail"),
    path("plans/<slug:slug>/edit/", plan_pages.plan_edit, name="plan-edit"),
    path("plans/<slug:slug>/assemble/", plan_pages.plan_assemble, name="plan-assemble"),
    path("forms/<uuid:code>/", plan_pages.form_detail, name="form-detail"),
    path("forms/<uuid:code>/offer/", plan_pages.form_offer, name="form-offer"),
    path("forms/<uuid:code>/start/", views.form_start, name="form-start"),
    path("<uuid:code>/", views.attempt_detail, name="attempt-detail"),
    path("<uuid:code>/results/", views.attempt_results, name="attempt-results"),
    path("<uuid:code>/<int:position>/", views.question_detail, name="question-detail"),
    path("<uuid:code>/<int:position>/reading/", views.question_reading, name="question-reading"),
    path("<uuid:code>/<int:position>/choice/", views.question_choice, name="question-choice"),
    path("<uuid:code>/<int:position>/reason/", views.question_reason, name="question-reason"),
]
