"""Pictures of parts: sent, shown, removed, and their files."""

import uuid

from django.contrib import messages
from django.core.files.storage import default_storage
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from herbs.forms import PictureForm
from herbs.images import MAX_BYTES, PictureRefusedError
from herbs.models import Herb, Picture
from herbs.pictures import KINDS, add_picture, file_name, pictures_of, remove_picture

from .permits import EditorRequest, may_picture

YEAR = 31_536_000  # seconds; a rendition never changes under its address


@require_http_methods(["GET", "HEAD", "POST"])
@may_picture
def herb_pictures(request: EditorRequest, slug: str) -> HttpResponse:
    """The pictures of a herb, and a form to add one."""
    herb = get_object_or_404(Herb.objects.prefetch_related("parts"), slug=slug)
    form = PictureForm(herb=herb)
    if request.method == "POST":
        form = PictureForm(request.POST, request.FILES, herb=herb)
        if form.is_valid() and _added(request, form):
            return redirect("herbs:herb-pictures", slug=slug)
    return render(request, "herbs/edit_pictures.html", {"herb": herb, "form": form, "pictures": pictures_of(herb)})


def _added(request: EditorRequest, form: PictureForm) -> bool:
    data = form.cleaned_data
    sent = data.pop("picture")
    try:
        # One byte more than allowed is enough to refuse it.
        content = sent.read(MAX_BYTES + 1)
        picture, is_new = add_picture(name=sent.name, content=content, by=request.user, **data)
    except PictureRefusedError as error:
        form.add_error("picture", f"{error} Nothing was kept.")
        return False
    if is_new:
        messages.success(request, f"The picture of {picture.part.label} is added.")
    else:
        messages.info(request, f"This picture of {picture.part.label} was there already. Nothing was changed.")
    return True


@require_http_methods(["GET", "HEAD", "POST"])
@may_picture
def picture_remove(request: EditorRequest, code: uuid.UUID) -> HttpResponse:
    """Remove a picture after asking once more."""
    picture = get_object_or_404(Picture.objects.select_related("part__herb"), code=code)
    slug = picture.part.herb.slug
    if request.method == "POST":
        remove_picture(picture=picture)
        messages.success(request, "The picture and its files are removed.")
        return redirect("herbs:herb-pictures", slug=slug)
    return render(request, "herbs/edit_picture_remove.html", {"picture": picture, "herb": picture.part.herb})


@require_safe
def picture_file(request: HttpRequest, code: uuid.UUID, width: int, kind: str) -> HttpResponseBase:
    """One rendition, as a picture and nothing else."""
    picture = get_object_or_404(Picture, code=code)
    if kind not in KINDS or width not in picture.widths:
        raise Http404("No such picture.")
    try:
        file = default_storage.open(file_name(picture, width, kind))
    except FileNotFoundError:
        raise Http404("The file of this picture is missing.") from None
    headers = {
        "Cache-Control": f"private, max-age={YEAR}, immutable",
        "X-Content-Type-Options": "nosniff",
        "Content-Disposition": f'inline; filename="{code}-{width}.{kind}"',
    }
    return FileResponse(file, content_type=KINDS[kind], headers=headers)
