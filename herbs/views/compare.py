"""Parts side by side."""

from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from herbs.catalogue import MateriaMedica
from herbs.comparison import MOST, compare
from herbs.engine import Row, capital, joined
from herbs.loaded import needs_materia_medica
from herbs.models import SearchName
from herbs.monograph import plane_of
from herbs.names import fold

from .common import medica_for

MOST_READ = 12  # slugs of an address that are looked at


def _asked(request: HttpRequest) -> list[str]:
    """The slugs that the address names, each once: ?parts=a,b or ?parts=a&parts=b."""
    named = ",".join(request.GET.getlist("parts")).replace(" ", ",").split(",")
    return list(dict.fromkeys(filter(None, named)))[:MOST_READ]


def _named(name: str, medica: MateriaMedica) -> list[Row]:
    """Rows that a typed name means: a slug, a label, or any name of a herb, then each of its parts. At most one query."""
    if name in medica.rows:
        return [medica.rows[name]]
    folded = fold(name)
    labelled = [row for row in medica.catalogue.rows if fold(row.label) == folded]
    if labelled or not folded:
        return labelled
    herbs = SearchName.objects.filter(folded=folded).values_list("herb__parts__slug", flat=True)
    slugs = sorted({slug for slug in herbs if slug in medica.rows})
    return [medica.rows[slug] for slug in slugs]


@require_safe
@needs_materia_medica
def part_compare(request: HttpRequest) -> HttpResponse:
    """Two to four parts side by side (?parts=a,b,c); ?add= takes one more by name. The address can be shared."""
    medica = medica_for(request)
    chosen = {"set": request.GET["set"]} if request.GET.get("set") else {}
    asked = _asked(request)

    def address(slugs: list[str]) -> str:
        parts = {"parts": ",".join(slugs)} if slugs else {}
        query = urlencode({**parts, **chosen}, safe=",")
        return reverse("herbs:part-compare") + (f"?{query}" if query else "")

    sentences: list[str] = []
    choices: list[tuple[Row, str]] = []
    wanted = request.GET.get("add", "").strip()[:120]
    if wanted:
        meant = _named(wanted, medica)
        if len(meant) == 1:
            return redirect(address(list(dict.fromkeys([*asked, meant[0].slug]))))
        if meant:
            sentences.append(f"“{wanted}” has more than one part here. Choose which:")
            choices = [(row, address(list(dict.fromkeys([*asked, row.slug])))) for row in meant]
        else:
            sentences.append(f"There is no part called “{wanted}” in the materia medica. Choose one from the list.")
    elif len(request.GET.getlist("parts")) > 1:
        return redirect(address(asked))
    unknown = [slug for slug in asked if slug not in medica.rows]
    known = [medica.rows[slug] for slug in asked if slug in medica.rows]
    rows, left_out = known[:MOST], known[MOST:]
    if unknown:
        quoted = joined([f"“{slug}”" for slug in unknown])
        sentences.append(f"The address names {quoted}, which the materia medica does not hold. The others are shown.")
    if left_out:
        sentences.append(
            f"At most four parts stand side by side. Left out: {joined([row.label for row in left_out])}. "
            "Remove one of the four to make room."
        )
    if len(rows) == 1:
        sentences.append(f"{capital(rows[0].label)} needs at least one other part beside it. Add one by name.")
    numbers = [medica.catalogue.row_number(row.slug) for row in rows]
    columns = [
        {
            "row": row,
            "without": address([other.slug for other in rows if other is not row]),
            "status_note": medica.status_notes.get(row.part_slug, ""),
        }
        for row in rows
    ]
    context = {
        "columns": columns,
        "title": capital(joined([row.label for row in rows])) if rows else "",
        "comparison": compare(rows, medica) if len(rows) > 1 else None,
        "plane": plane_of(medica.catalogue, numbers) if len(rows) > 1 else None,
        "sentences": sentences,
        "choices": choices,
        "slugs": ",".join(row.slug for row in rows),
        "chosen_set": chosen.get("set", ""),
        "is_full": len(rows) >= MOST,
        "options": sorted({row.label for row in medica.catalogue.rows}),
        "teaching_set": medica.teaching_set_name,
    }
    return render(request, "herbs/part_compare.html", context)
