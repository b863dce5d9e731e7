"""Addresses of the materia medica."""

from django.urls import path

from . import views
from .edit_urls import edit_patterns

app_name = "herbs"
urlpatterns = [
    *edit_patterns,
    path("materia-medica/", views.herb_index, name="herb-index"),
    path("materia-medica/<slug:slug>/", views.herb_detail, name="herb-detail"),
    path("materia-medica/<slug:slug>/as-told-by/", views.herb_as_told_by, name="herb-as-told-by"),
    path("cross-walk/", views.cross_walk, name="cross-walk"),
    path("compare/", views.part_compare, name="part-compare"),
    path("parts/<slug:slug>/", views.part_detail, name="part-detail"),
    path("classes/", views.class_index, name="class-index"),
    path("classes/<slug:slug>/", views.class_detail, name="class-detail"),
]
