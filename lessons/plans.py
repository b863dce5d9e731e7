"""Drill plans and forms: saved, assembled from approved items, offered to a course."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from uuid import UUID, uuid5

import yaml
from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.text import slugify

from herbs.catalogue import MateriaMedica, materia_medica
from herbs.loading.faults import FaultsError
from herbs.loading.yaml_lines import parse

from .engine import FAMILIES
from .engine.faults import FAULTS
from .engine.forms import Assembly, InfeasiblePlanError, assemble
from .engine.item_bank import Candidate
from .engine.parallel_forms import assemble_parallel
from .engine.plan_conflicts import Conflict, NoConflictError, explain
from .engine.plan_reading import InvalidPlanError, plan_from_mapping, plan_to_mapping
from .engine.plans import DrillPlan as EnginePlan
from .engine.plans import requirements_of
from .models import Course, DrillPlan, Form, FormItem, Item, User

EXPLAIN_SECONDS = 2.0  # for each single solve, while somebody waits for the page
MOST_FORMS = 4  # parallel forms made at once
SHIPPED = Path(__file__).parent / "data" / "plans"


class PlanTextError(Exception):
    """The text of a plan cannot be read; ``problems`` holds a sentence for each fault."""

    def __init__(self, problems: tuple[str, ...]) -> None:
        super().__init__(" ".join(problems))
        self.problems = problems


@dataclass(frozen=True)
class Assembled:
    """What came of assembling: a stored form, or the demands that conflict with the nearest plan that can be met; neither
    where what conflicts could not be told in time."""

    form: Form | None
    conflict: Conflict | None = None


def shipped_plans() -> dict[str, str]:
    """The texts of the plans that come with the app, by name."""
    return {path.stem: path.read_text(encoding="utf-8") for path in sorted(SHIPPED.glob("*.yaml"))}


def plan_text(plan: EnginePlan) -> str:
    """A plan as the text its editor shows."""
    return yaml.safe_dump(plan_to_mapping(plan), sort_keys=False, allow_unicode=True, width=120)


def read_plan(text: str) -> EnginePlan:
    """The plan a text says; PlanTextError lists all faults."""
    try:
        return plan_from_mapping(parse("the plan", text.encode()), known_values(materia_medica()))
    except FaultsError as error:
        raise PlanTextError(tuple(f"Line {fault.line}: {fault.message}" for fault in error.faults)) from None
    except InvalidPlanError as error:
        raise PlanTextError(tuple(error.problems)) from None


def known_values(medica: MateriaMedica) -> dict[str, set[str]]:
    """The values a plan may name, by word."""
    return {
        "families": set(FAMILIES),
        "classes": {term.slug for term in medica.class_actions},
        "sites": set(medica.catalogue.site_index),
        "systems": set(systems(medica).values()),
        "states": {*medica.terms["state"], *medica.terms["mixed-pattern"]},
        "faults": set(FAULTS),
        "parts": set(medica.parts),
    }


def systems(medica: MateriaMedica) -> dict[str, str]:
    """The system each body site belongs to, by slug; of several the first."""
    graph = medica.catalogue.graph
    found: dict[str, str] = {}
    for slug in medica.catalogue.site_index:
        if graph[slug].kind == "system":
            for site in (slug, *graph.within(slug)):
                found.setdefault(site, slug)
    for slug in medica.catalogue.site_index:
        above = next((found[parent] for parent in graph[slug].parents if parent in found), None)
        if above is not None:
            found.setdefault(slug, above)
    return found


def save_plan(*, plan: EnginePlan, by: User, row: DrillPlan | None = None) -> DrillPlan:
    """Save a plan, anew or over an earlier one; forms already made from it stay as they are."""
    document = plan_to_mapping(plan)
    if row is not None:
        row.title, row.document = plan.title, document
        row.save(update_fields=["title", "document", "saved_at"])
        return row
    base = slugify(plan.title)[:40] or "plan"
    same = DrillPlan.objects.filter(slug__startswith=base, by=by, document=document).first()
    if same is not None:
        return same  # the same plan sent twice
    for number in range(1, 1000):
        slug = base if number == 1 else f"{base}-{number}"
        try:
            with transaction.atomic():
                return DrillPlan.objects.create(slug=slug, title=plan.title, document=document, by=by)
        except IntegrityError:
            continue
    raise PlanTextError(("There are too many plans of this title. Choose another title.",))


def engine_plan(row: DrillPlan) -> EnginePlan:
    """A stored plan for the engine."""
    return plan_from_mapping(row.document)


def candidates(medica: MateriaMedica) -> list[Candidate]:
    """Every approved item, as far as a plan looks at it. One query."""
    system_of = systems(medica)
    rows = Item.objects.approved().values_list(
        "content_hash", "family", "action", "site", "state", "faults", "difficulty", "key_part", "herbs", "skeleton",
        "key_position", "exposure",
    )  # fmt: skip
    part_of = {slug: row.part_slug for slug, row in medica.rows.items()}
    return [
        Candidate(
            code, family, action, site, system_of.get(site, ""), state, tuple(faults), difficulty,
            part_of.get(key, key), frozenset({part_of.get(herb, herb) for herb in herbs} | ({part_of.get(key, key)} - {""})),
            skeleton or code, position, exposure,
        )
        for code, family, action, site, state, faults, difficulty, key, herbs, skeleton, position, exposure in rows
    ]  # fmt: skip


def assemble_form(*, row: DrillPlan, by: User, code: UUID, count: int = 1) -> Assembled:
    """Assemble a form from the approved items, or up to MOST_FORMS parallel ones with as few items in common as can be.

    The same code twice is one form; the parallel ones get codes of their own, that follow from it.
    """
    existing = Form.objects.filter(code=code, by=by).first()
    if existing is not None:
        return Assembled(existing)
    plan, bank = engine_plan(row), candidates(materia_medica())
    count = max(1, min(MOST_FORMS, count))
    try:
        if count == 1:
            made: Sequence[Assembly] = [assemble(plan, bank, seed=code.int >> 66)]
        else:
            made = assemble_parallel(plan, bank, forms=count, seed=code.int >> 66).forms
    except InfeasiblePlanError:
        try:
            return Assembled(None, explain(plan, bank, time_limit=EXPLAIN_SECONDS))
        except NoConflictError:
            return Assembled(None)
    codes = [code, *(uuid5(code, str(number)) for number in range(1, count))]
    stored = [_store(row, found, by, its) for found, its in zip(made, codes, strict=True)]
    return Assembled(stored[0])


def _store(row: DrillPlan, found: Assembly, by: User, code: UUID) -> Form:
    ids = dict(Item.objects.filter(content_hash__in=found.codes).values_list("content_hash", "pk"))
    with transaction.atomic():
        form, is_new = Form.objects.get_or_create(
            code=code, defaults={"plan": row, "title": row.title, "status": found.status, "gap": found.gap, "by": by}
        )
        if is_new:
            FormItem.objects.bulk_create(
                FormItem(form=form, item_id=ids[item], position=number) for number, item in enumerate(found.codes, 1)
            )
    return form


def offer_form(*, form: Form, course: Course | None) -> Form:
    """Offer a form to a course, or to nobody any more."""
    form.course, form.offered_at = course, timezone.now() if course else None
    form.save(update_fields=["course", "offered_at"])
    return form


def requirements(row: DrillPlan) -> list[str]:
    """What a plan asks for, sentence by sentence."""
    return [wanted.sentence for wanted in requirements_of(engine_plan(row))]
