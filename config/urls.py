"""Addresses."""

from django.contrib.auth.views import LogoutView
from django.urls import URLPattern, URLResolver, include, path

from lessons import front

urlpatterns: list[URLPattern | URLResolver] = [
    path("", front.home, name="home"),
    path("cautions/", front.cautions, name="cautions"),
    path("log-in/", front.LogInView.as_view(), name="login"),
    path("log-out/", LogoutView.as_view(), name="logout"),
    path("drills/", include("quizzes.urls")),
    path("questions/", include("lessons.urls")),
    path("", include("herbs.urls")),
]

handler400 = "config.errors.bad_request"
handler403 = "config.errors.permission_denied"
handler404 = "config.errors.page_not_found"
