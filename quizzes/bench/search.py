"""Search at 5,000 parts against the floor view, and the compiling of 5,000 parts with 150,000 claims."""

import http.client
import time
from dataclasses import dataclass
from urllib.parse import urlencode

import numpy as np

from herbs.models import Claim, Herb, Part, Release, SearchName

from .round_trip import HOST, TOKEN, post

PARTS = 5000
CLAIMS = 150_000
LIMIT = 2.0  # the browse view's answer over the floor's, at the median and at the 95th percentile
QUERIES = (
    "elecampane",
    "elecampagne",
    "hysop",
    "marsh malow",
    "Althaeae radix",
    "camomile",
    "st jhons wort",
    "gentain",
)
WARM = 20
ROUNDS = 160


def grow() -> tuple[int, int]:
    """Copy the loaded herbs until there are ``PARTS`` parts and at least ``CLAIMS`` claims; how many there are then."""
    herbs = list(Herb.objects.prefetch_related("parts__claims", "search_names"))
    number, parts, claims = 0, Part.objects.count(), Claim.objects.count()
    while parts < PARTS or claims < CLAIMS:
        number += 1
        copies = Herb.objects.bulk_create(
            Herb(slug=f"{h.slug}-copy{number}", latin=f"{h.latin} {number}", family=h.family, name=h.name, habit=h.habit,
                 status=h.status, digest=h.digest) for h in herbs
        )  # fmt: skip
        wanted = [(old_part, copy) for old, copy in zip(herbs, copies, strict=True) for old_part in old.parts.all()]
        made = Part.objects.bulk_create(
            Part(
                slug=f"{p.slug}-copy{number}",
                herb=copy,
                name=p.name,
                label=f"{p.label} {number}",
                usual_form=p.usual_form,
            )
            for p, copy in wanted
        )
        for (old_part, _), part in zip(wanted, made, strict=True):
            for claim in old_part.claims.all():
                claim.pk, claim.part = None, part
        claims += len(Claim.objects.bulk_create((c for p, _ in wanted for c in p.claims.all()), batch_size=2000))
        SearchName.objects.bulk_create(
            SearchName(herb=copy, kind=n.kind, name=f"{n.name} {number}", folded=f"{n.folded} {number}")
            for old, copy in zip(herbs, copies, strict=True)
            for n in old.search_names.all()
        )
        parts += len(made)
        herbs = list(
            Herb.objects.filter(pk__in=[h.pk for h in herbs]).prefetch_related("parts__claims", "search_names")
        )
    latest = Release.objects.latest()
    latest.pk, latest.data_version = None, "bench-at-size"
    latest.save()
    return parts, claims


@dataclass(frozen=True)
class Times:
    """Seconds of each request to the floor and to the browse view."""

    floor: tuple[float, ...]
    search: tuple[float, ...]

    def ratio(self, percent: float) -> float:
        """Search over floor at a percentile."""
        return float(np.percentile(self.search, percent) / np.percentile(self.floor, percent))


def measure(port: int, session: str) -> Times:
    """One client asks the floor and the browse view in turn, with names as they stand, old ones and misspelt ones."""
    floor, search = [], []
    for number in range(WARM + ROUNDS):
        asked = {"q": QUERIES[number % len(QUERIES)]}
        if number % 4 == 3:
            asked |= {"action": "expectorant", "kind": "warming"}
        spent = post(port, "/floor/", session, {"x": "1"}), _browse(port, session, asked)
        if number >= WARM:
            floor.append(spent[0])
            search.append(spent[1])
    return Times(tuple(floor), tuple(search))


def _browse(port: int, session: str, asked: dict[str, str]) -> float:
    start = time.perf_counter()
    connection = http.client.HTTPConnection(HOST, port, timeout=60)
    headers = {"Cookie": f"sessionid={session}; csrftoken={TOKEN}", "HX-Request": "true"}
    connection.request("GET", f"/materia-medica/?{urlencode(asked)}", headers=headers)
    answer = connection.getresponse()
    body = answer.read()
    spent = time.perf_counter() - start
    connection.close()
    if answer.status != 200 or b"browse-results" not in body:
        raise RuntimeError(f"The browse view answered {answer.status}.")
    return spent
