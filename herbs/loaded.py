"""Pages that cannot work while no materia medica is loaded."""

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec, TypeVar

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from .catalogue import EmptyMateriaMedicaError

P = ParamSpec("P")
R = TypeVar("R", bound=HttpRequest)


def empty(request: HttpRequest) -> HttpResponse:
    """The answer while nothing has been loaded: what to do about it."""
    return render(request, "herbs/empty.html", status=503)


def needs_materia_medica(view: Callable[Concatenate[R, P], HttpResponse]) -> Callable[Concatenate[R, P], HttpResponse]:
    """Answer 503, with what to do, while no materia medica is loaded."""

    @wraps(view)
    def answered(request: R, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        try:
            return view(request, *args, **kwargs)
        except EmptyMateriaMedicaError:
            return empty(request)

    return answered
