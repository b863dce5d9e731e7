"""The pages everybody may see: front page, cautions, log in."""

from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import LoginView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.decorators import method_decorator
from django.views.decorators.http import require_safe

from herbs.models import Release, Term

from .forms import LogInForm


@require_safe
@login_not_required
def home(request: HttpRequest) -> HttpResponse:
    """The front page."""
    release = Release.objects.order_by("-id").first()
    return render(request, "home.html", {"release": release})


@require_safe
@login_not_required
def cautions(request: HttpRequest) -> HttpResponse:
    """The full statement of cautions, with the red flags that mean refer."""
    flags = [term.details for term in Term.objects.filter(kind=Term.Kind.RED_FLAG)]
    return render(request, "cautions.html", {"red_flags": flags})


@method_decorator(login_not_required, name="dispatch")
class LogInView(LoginView):
    """Log in."""

    authentication_form = LogInForm
    template_name = "registration/login.html"
    redirect_authenticated_user = True

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        """Say why, when the page was reached because a session had ended."""
        return super().get_context_data(**kwargs) | {"was_sent": bool(self.request.GET.get("next"))}
