"""Pages of the item bank, for whoever teaches: lists, one item with its audit and proof, review, wording, siblings."""

import uuid
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from herbs.loaded import needs_materia_medica
from herbs.models import TeachingSet
from lessons.bank import QuestionMaker, question_maker
from lessons.engine import FAMILIES, Constraints, NoValidItemError, audit, recheck
from lessons.items import ReviewError, bank_drafts, edit_wording, make_sibling, review_item
from lessons.models import Item
from lessons.requests import PersonRequest

from .bank_forms import FilterForm, MakeForm, ReviewForm, WordingForm
from .engine.wording import right_words
from .presenting import explained, item_title, open_item
from .widgets import widget

PAGE = 25
CODE_LENGTH = 32


def item_for(code: str) -> Item:
    """An item of the bank by its public name; 404 when there is none, or it was made for one drill."""
    found = Item.objects.banked().filter(content_hash__startswith=code).first() if len(code) == CODE_LENGTH else None
    if found is None:
        raise Http404("No such item.")
    return found


@require_safe
@permission_required("lessons.view_items", raise_exception=True)
@needs_materia_medica
def item_list(request: PersonRequest) -> HttpResponse:
    """The bank: what is drafted, approved and retired, and the way to make more."""
    classes = _classes()
    return _list(request, MakeForm(classes=classes), classes)


def _classes() -> list[tuple[str, str]]:
    return [(term.slug, term.plural.capitalize()) for term in question_maker().materia_medica.class_actions]


def _list(request: PersonRequest, form: MakeForm, classes: list[tuple[str, str]]) -> HttpResponse:
    chosen = FilterForm(request.GET or None, classes=classes)
    items = Item.objects.for_bank().filter(**chosen.lookups())
    page = Paginator(items, PAGE).get_page(request.GET.get("page"))
    rows = [{"item": item, "title": item_title(item.opened), "family": FAMILIES[item.family].TITLE} for item in page]
    return render(request, "quizzes/item_list.html", {"filter": chosen, "form": form, "page": page, "rows": rows})


@require_POST
@permission_required("lessons.change_item", raise_exception=True)
@needs_materia_medica
def item_make(request: PersonRequest) -> HttpResponse:
    """Make drafts; the same code makes them once."""
    classes = _classes()
    form = MakeForm(request.POST, classes=classes)
    if not form.is_valid():
        return _list(request, form, classes)
    data = form.cleaned_data
    try:
        made = bank_drafts(
            maker=question_maker(), family=data["family"], constraints=Constraints(data["action"] or None),
            count=data["count"], code=data["code"],
        )  # fmt: skip
    except NoValidItemError as error:
        form.add_error("action", str(error))
        return _list(request, form, classes)
    messages.success(
        request, f"{len(made)} draft{'s' if len(made) != 1 else ''} made. Read each before you approve it."
    )
    return redirect("quizzes:item-list")


@require_safe
@permission_required("lessons.view_items", raise_exception=True)
def item_detail(request: PersonRequest, code: str) -> HttpResponse:
    """One item: as a student meets it, the reasoning, audit, proof, difficulty, and its review."""
    return _detail(request, item_for(code))


def _detail(request: PersonRequest, item: Item, review: ReviewForm | None = None) -> HttpResponse:
    opened = item.opened
    labels = [option["label"] for option in opened["options"]]
    lists = opened["because"]
    context: dict[str, Any] = explained(opened) | {
        "item": item,
        "title": item_title(opened),
        "shown": open_item(opened),
        "opened": opened,
        "family": FAMILIES[item.family],
        "widget": widget(opened),
        "right": right_words(opened),
        "reasons": [
            {"label": labels[n] if len(lists) > 1 else "", "reasons": reasons} for n, reasons in enumerate(lists)
        ],
        "audit": audit(opened),
        "proof": recheck(opened),
        "features": sorted(opened["difficulty"]["features"].items()),
        "logits": opened["difficulty"]["prior"] / 1000,
        "reviews": item.reviews.select_related("by"),
        "edits": list(item.edits.all()),
        "siblings": list(item.siblings.all()),
        "review_form": review or ReviewForm(),
        "code": uuid.uuid4(),
    }
    return render(request, "quizzes/item_detail.html", context)


@require_POST
@permission_required("lessons.change_item", raise_exception=True)
def item_review(request: PersonRequest, code: str) -> HttpResponse:
    """Approve, retire, or take back to draft."""
    item, form = item_for(code), ReviewForm(request.POST)
    if form.is_valid():
        try:
            review_item(
                item=item, after=form.cleaned_data["after"], reason=form.cleaned_data["reason"], by=request.user
            )
        except ReviewError as error:
            form.add_error(None, str(error))
        else:
            return redirect("quizzes:item-detail", code=item.code)
    return _detail(request, item, form)


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("lessons.change_item", raise_exception=True)
def item_wording(request: PersonRequest, code: str) -> HttpResponse:
    """Edit the words; they are audited again, and the item with the new words is a draft of its own."""
    item = item_for(code)
    words = {"stem": item.opened["stem"], "vignette": item.opened["vignette"]}
    form = WordingForm(request.POST or None, initial=words, has_vignette=bool(words["vignette"]))
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            fresh = edit_wording(item=item, stem=data["stem"], vignette=data.get("vignette", ""), by=request.user)
        except ReviewError as error:
            form.add_error(None, str(error))
        else:
            return redirect("quizzes:item-detail", code=fresh.code)
    findings = item.opened["presentation"]["findings"] if words["vignette"] else []
    return render(request, "quizzes/item_wording.html", {"item": item, "form": form, "findings": findings})


@require_POST
@permission_required("lessons.change_item", raise_exception=True)
@needs_materia_medica
def item_sibling(request: PersonRequest, code: str) -> HttpResponse:
    """Make another item of the same family, class, place and state."""
    item = item_for(code)
    try:
        token = uuid.UUID(request.POST.get("code", ""))
        fresh = make_sibling(item=item, maker=_maker_of(item), code=token)
    except ValueError:
        messages.error(request, "That page was out of date. Press the button once more.")
        return redirect("quizzes:item-detail", code=item.code)
    except NoValidItemError as error:
        messages.error(request, str(error))
        return redirect("quizzes:item-detail", code=item.code)
    except TeachingSet.DoesNotExist:
        messages.error(
            request, "The teaching set it was made under is gone. Make drafts of its kind and class instead."
        )
        return redirect("quizzes:item-detail", code=item.code)
    return redirect("quizzes:item-detail", code=fresh.code)


def _maker_of(item: Item) -> QuestionMaker:
    return question_maker(item.teaching_set)
