"""One view, one template, one context: this helper picks the page or the fragment."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.cache import patch_vary_headers
from django_htmx.middleware import HtmxDetails


def wants_fragment(request: HttpRequest) -> bool:
    """Whether htmx asks for a fragment: not for a boosted page, nor when it restores history after a miss."""
    htmx: HtmxDetails = request.htmx  # type: ignore[attr-defined]
    return bool(htmx) and not htmx.boosted and not htmx.history_restore_request


def render_page(
    request: HttpRequest, template: str, context: dict[str, Any], *, fragment: str, status: int = 200
) -> HttpResponse:
    """Render the whole page, or only the partial named ``fragment`` when htmx asks for it.

    The answer always varies by the htmx headers, so that no cache hands a fragment to a page request.
    """
    name = f"{template}#{fragment}" if wants_fragment(request) else template
    response = render(request, name, context, status=status)
    patch_vary_headers(response, ["HX-Request", "HX-Boosted", "HX-History-Restore-Request"])
    return response
