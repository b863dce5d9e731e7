"""What several pages of the materia medica need."""

from django.http import HttpRequest

from herbs.catalogue import MateriaMedica, materia_medica
from herbs.models import TeachingSet


def medica_for(request: HttpRequest) -> MateriaMedica:
    """The materia medica under the teaching set that the address names (?set=), else the default one."""
    slug = request.GET.get("set", "")
    row = TeachingSet.objects.filter(slug=slug).first() if slug else None
    may_see = row is not None and request.user.has_perm("herbs.view_teachingset", row)
    return materia_medica(slug if may_see else None)
