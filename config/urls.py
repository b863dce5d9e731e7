"""Addresses."""

from django.urls import URLPattern, URLResolver, include, path

from lessons import courses, front

urlpatterns: list[URLPattern | URLResolver] = [
    path("", front.home, name="home"),
    path("cautions/", front.cautions, name="cautions"),
    path("health/", front.health, name="health"),
    path("account/", courses.account, name="account"),
    path("accounts/", include("allauth.urls")),
    path("drills/", include("quizzes.urls")),
    path("", include("lessons.urls")),
    path("", include("herbs.urls")),
]

handler400 = "config.errors.bad_request"
handler403 = "config.errors.permission_denied"
handler404 = "config.errors.page_not_found"
handler500 = "config.errors.server_error"
