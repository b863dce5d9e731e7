"""Addresses for instructors: how questions are made."""

from django.urls import path

from . import views

app_name = "lessons"
urlpatterns = [path("", views.item_samples, name="item-samples")]
