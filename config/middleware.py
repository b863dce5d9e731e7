"""Login by default, with an answer that htmx can follow."""

from collections.abc import Callable
from urllib.parse import urlsplit

from django.contrib.auth import REDIRECT_FIELD_NAME
from django.contrib.auth.middleware import LoginRequiredMiddleware as DjangoLoginRequiredMiddleware
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponseBase
from django.utils.http import url_has_allowed_host_and_scheme
from django_htmx.http import HttpResponseClientRedirect


class LoginRequiredMiddleware(DjangoLoginRequiredMiddleware):
    """Sends htmx to the login page as a page, never into a panel, and back to the page it came from."""

    def handle_no_permission(  # type: ignore[override]
        self, request: HttpRequest, view_func: Callable[..., HttpResponseBase]
    ) -> HttpResponseBase:
        """Redirect to the login page; ``next`` is the page the person sees, not the address of a fragment."""
        htmx = getattr(request, "htmx", None)
        if not htmx:
            return super().handle_no_permission(request, view_func)
        path = _page(htmx.current_url or "", request)
        login = redirect_to_login(path, self.get_login_url(view_func), REDIRECT_FIELD_NAME)
        return HttpResponseClientRedirect(login.url)


def _page(current: str, request: HttpRequest) -> str:
    """The path of the page that htmx says the person sees; the front page when that is no address of this site."""
    try:
        safe = url_has_allowed_host_and_scheme(current, {request.get_host()}, require_https=request.is_secure())
        parts = urlsplit(current)
    except ValueError:
        return "/"
    return parts.path + (f"?{parts.query}" if parts.query else "") if safe else "/"
