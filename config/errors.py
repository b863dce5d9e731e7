"""Error answers: a page for a page, one sentence for htmx."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import get_template

SENTENCES = {
    400: "The server could not read that request. Reload the page and try once more.",
    403: "This page belongs to somebody else. Go back, or sign in with another account.",
    404: "There is nothing at this address. Go back, or start from the first page.",
    500: "Something went wrong on our side. Your recorded answers are safe. Reload the page in a moment.",
}


def _answer(request: HttpRequest, status: int, template: str) -> HttpResponse:
    if getattr(request, "htmx", False):
        return HttpResponse(f"<p>{SENTENCES[status]}</p>", status=status)
    return render(request, template, {"sentence": SENTENCES[status]}, status=status)


def bad_request(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """400."""
    return _answer(request, 400, "400.html")


def permission_denied(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """403."""
    return _answer(request, 403, "403.html")


def page_not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """404."""
    return _answer(request, 404, "404.html")


def server_error(request: HttpRequest) -> HttpResponse:
    """500. The page stands without context or database."""
    if getattr(request, "htmx", False):
        return HttpResponse(f"<p>{SENTENCES[500]}</p>", status=500)
    return HttpResponse(get_template("500.html").template.source, status=500)  # type: ignore[attr-defined]


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """403 because the form is older than the session (signed in again in another tab)."""
    if getattr(request, "htmx", False):
        return HttpResponse(
            "<p>You signed in again since this page was opened. Reload the page and try once more.</p>", status=403
        )
    return render(request, "403_csrf.html", status=403)
