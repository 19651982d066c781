"""Photos of a head: taken at the bench, looked at large; handed out to signed-in people only."""

from io import BytesIO
from uuid import UUID, uuid4

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import URLPattern, path, reverse
from django.views.decorators.http import require_http_methods, require_safe
from PIL import Image

from castworthy.actions.errors import DeedRefused
from castworthy.actions.photos import add_photo
from castworthy.records.errors import NotOnRecord
from castworthy.records.lookups.photos import photo_file, photos_of
from castworthy.web.answers import UNPROCESSABLE
from castworthy.web.forms.photos import PhotoForm
from castworthy.web.frame import head_frame
from castworthy.web.gate import anyone_signed_in
from castworthy.web.refusals import refuse

_SMALL_EDGE = 480
_KEPT = "private, max-age=31536000, immutable"


@require_http_methods(["GET", "HEAD", "POST"])
@anyone_signed_in
def photos(request: HttpRequest, tag: str) -> HttpResponse:
    """The photos of a head, and one more."""
    if request.method == "POST":
        return _add(request, tag)
    start = {"uuid": uuid4(), "reading": request.GET.get("reading", "")}
    return _page(request, tag, PhotoForm(initial=start))


@require_safe
@anyone_signed_in
def strip(request: HttpRequest, tag: str) -> HttpResponse:
    """The photos of a head in a row, for the pages that show it."""
    context = {"tag": tag, "photos": photos_of(tag)[:6]}
    return render(request, "castworthy/photos/strip.html", context)


@require_safe
@anyone_signed_in
def photo(request: HttpRequest, tag: str, uuid: UUID) -> HttpResponse:
    """One photo, large, with the ones before and after it."""
    every = photos_of(tag)
    place = next((i for i, each in enumerate(every) if each.uuid == uuid), None)
    if place is None:
        raise NotOnRecord(f"There is no such photo of {tag} on record.")
    context = {
        **head_frame(request, tag, "photos"),
        "photo": every[place],
        "number": place + 1,
        "photos_count": len(every),
        "before": every[place - 1] if place else None,
        "after": every[place + 1] if place + 1 < len(every) else None,
    }
    return render(request, "castworthy/photos/photo.html", context)


@require_safe
@anyone_signed_in
def picture(request: HttpRequest, uuid: UUID) -> FileResponse:
    """The file of a photo."""
    found = photo_file(uuid)
    headers = {"Cache-Control": _KEPT, "ETag": f'"{found.digest}"'}
    return FileResponse(found.path.open("rb"), content_type="image/jpeg", headers=headers)


@require_safe
@anyone_signed_in
def small_picture(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """The file of a photo, small enough for a list."""
    found = photo_file(uuid)
    with Image.open(found.path) as opened:
        opened.draft("RGB", (_SMALL_EDGE, _SMALL_EDGE))
        opened.thumbnail((_SMALL_EDGE, _SMALL_EDGE))
        out = BytesIO()
        opened.save(out, format="JPEG", quality=80)
    headers = {"Cache-Control": _KEPT, "ETag": f'"{found.digest}-small"'}
    return HttpResponse(out.getvalue(), content_type="image/jpeg", headers=headers)


def _add(request: HttpRequest, tag: str) -> HttpResponse:
    form = PhotoForm(request.POST, request.FILES)
    if form.is_valid():
        given = form.cleaned_data
        try:
            add_photo(
                tag=tag,
                upload=given["photo"],
                caption=given["caption"],
                uuid=given["uuid"] or "",
                reading=given["reading"] or "",
                by=request.user,
            )
        except DeedRefused as refused:
            refuse(form, refused)
        else:
            messages.success(request, "The photo is kept.")
            return HttpResponseRedirect(reverse("photos", args=[tag]))
    return _page(request, tag, form, status=UNPROCESSABLE)


def _page(request: HttpRequest, tag: str, form: PhotoForm, *, status: int = 200) -> HttpResponse:
    context = {**head_frame(request, tag, "photos"), "photos": photos_of(tag), "form": form}
    return render(request, "castworthy/photos/photos.html", context, status=status)


urlpatterns: list[URLPattern] = [
    path("heads/<str:tag>/photos", photos, name="photos"),
    path("heads/<str:tag>/photos/strip", strip, name="photo-strip"),
    path("heads/<str:tag>/photos/<uuid:uuid>", photo, name="photo"),
    path("photos/<uuid:uuid>.jpg", picture, name="photo-file"),
    path("photos/<uuid:uuid>-small.jpg", small_picture, name="photo-small"),
]
