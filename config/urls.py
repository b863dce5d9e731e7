"""Addresses."""

from django.urls import URLPattern, URLResolver, include, path

from lessons import courses, front
from quizzes import privacy_pages

urlpatterns: list[URLPattern | URLResolver] = [
    path("", front.home, name="home"),
    path("cautions/", front.cautions, name="cautions"),
    path("health/", front.health, name="health"),
    path("account/", courses.account, name="account"),
    path("account/data/", privacy_pages.account_data, name="account-data"),
    path("account/data/file/", privacy_pages.account_export, name="account-export"),
    path("account/erase/", privacy_pages.account_erase, name="account-erase"),
    path("accounts/", include("allauth.urls")),
    path("drills/", include("quizzes.urls")),
    path("", include("lessons.urls")),
    path("", include("herbs.urls")),
]

handler400 = "config.errors.bad_request"
handler403 = "config.errors.permission_denied"
handler404 = "config.errors.page_not_found"
handler500 = "config.errors.server_error"
