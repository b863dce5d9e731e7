"""The reasoning of an item as a page shows it after the answer, with the sources of what is said."""

from collections import defaultdict
from collections.abc import Mapping
from typing import Any

from herbs.catalogue import EmptyMateriaMedicaError, MateriaMedica, degree_words, materia_medica
from herbs.engine import AXES, capital, joined
from herbs.models import Claim, TeachingSet, Term
from herbs.monograph.words import dose_words

from .engine import chain, explain_herbs, explain_options
from .engine.remember import remember

OPTIONS_HEADINGS = {
    "kinds": "Each herb and its kind",
    "place-on-the-plane": "Where you placed it",
    "name-the-state": "Each state",
    "what-would-have-to-change": "Each change",
    "caution": "Each person",
}
HERBS, ANSWERS, THE_HERB = "Each herb in this case", "Each answer", "The herb"
READ_FROM_MEMORY = (
    "Readings of tongue and pulse, from memory of the tradition that teaches them and still to be verified."
)
SIGNS_ELSEWHERE = ("tongue", "pulse")
NOTED = (Claim.Predicate.TASTE, Claim.Predicate.DEGREE, Claim.Predicate.PREPARATION)
COMMON = "common-practice"
Says = Mapping[str, str]


def explained(item: Mapping[str, Any], choice: int | None = None, reason: int | None = None) -> dict[str, Any]:
    """The reasoning of an item for a page: chain, options and herbs with their sources, and the one thing to remember.

    ``choice`` and ``reason`` are those of an answer. Without them nothing is said of what was answered, and nothing is left
    to remember.
    """
    medica = _medica(item["teaching_set"])
    has_herbs = any("part" in option for option in item["options"])
    options = [_with_sources(item, option, medica) for option in explain_options(item, choice)]
    herbs = (
        []
        if options and has_herbs
        else [_named(_with_sources(item, herb, medica), medica) for herb in explain_herbs(item)]
    )
    return {
        "chain": [step | _sources_of_step(item, step, medica) for step in chain(item)],
        "options": options,
        "options_heading": OPTIONS_HEADINGS.get(item["family"], HERBS if has_herbs else ANSWERS),
        "herbs": [herb for herb in herbs if herb["label"]],
        "herbs_heading": THE_HERB if item["family"] == "preparation" else "",
        "has_herbs": has_herbs,
        "remember": remember(item, choice, reason) if choice is not None else "",
    }


def _medica(teaching_set: str) -> MateriaMedica | None:
    """The materia medica an item was made under; the default one where that set is gone, None where nothing is loaded."""
    for slug in (teaching_set, None):
        try:
            return materia_medica(slug)
        except EmptyMateriaMedicaError:
            return None
        except TeachingSet.DoesNotExist:
            continue
    return None


def _sources_of_step(item: Mapping[str, Any], step: Mapping[str, Any], medica: MateriaMedica | None) -> dict[str, Any]:
    if step.get("qualities") and step.get("part"):
        return {"sources": sources_for(item, step["part"], medica)}
    if step["term"] == "Findings" and medica is not None:
        return {"sources": _sources_of_findings(item, medica)}
    if step["term"] == "Rule" and "rules" in item["certificate"] and medica is not None:
        return {"sources": _sources_of_rule(item, medica)}
    return {}


def _sources_of_findings(item: Mapping[str, Any], medica: MateriaMedica) -> list[dict[str, str]]:
    """What findings speak for is common practice; readings of tongue and pulse are from memory of a tradition, which is named."""
    findings = item["presentation"]["findings"]
    terms, traditions = medica.terms.get(Term.Kind.FINDING, {}), []
    for finding in findings:
        if finding["kind"] in SIGNS_ELSEWHERE:
            traditions.append(terms.get(finding["slug"], {}).get("tradition", "").replace("-", " "))
    found = [medica.sources[COMMON] | {"says": "what each finding speaks for"}] if COMMON in medica.sources else []
    if traditions:
        named = joined(sorted({capital(tradition) for tradition in traditions if tradition}) or ["of no one tradition"])
        found.append({"citation": READ_FROM_MEMORY, "basis": "memory", "says": named})
    return found


def _sources_of_rule(item: Mapping[str, Any], medica: MateriaMedica) -> list[dict[str, str]]:
    """Where a tradition's rule of each taste comes from."""
    tastes: dict[str, list[str]] = defaultdict(list)
    for rule in medica.terms.get(Term.Kind.TASTE_RULE, {}).values():
        if rule.get("tradition") == item["subject"]["tradition"] and rule.get("taste") in item["certificate"]["rules"]:
            tastes[rule.get("source", "")].append(rule["taste"])
    return [
        medica.sources[source] | {"says": f"the rule of {joined(named)}"}
        for source, named in tastes.items()
        if source in medica.sources
    ]


def _with_sources(item: Mapping[str, Any], option: Mapping[str, Any], medica: MateriaMedica | None) -> dict[str, Any]:
    if "part" not in option or medica is None:
        return dict(option)
    row = medica.rows.get(option["part"])
    note = medica.status_notes.get(row.part_slug, "") if row else ""
    return dict(option) | {"sources": sources_for(item, option["part"], medica), "status_note": note}


def _named(herb: Mapping[str, Any], medica: MateriaMedica | None) -> dict[str, Any]:
    row = medica.rows.get(herb["part"]) if medica else None
    if row is None:
        return dict(herb) | {"label": "", "latin": "", "marks": []}
    return dict(herb) | {"label": row.label, "latin": row.latin, "marks": list(row.marks)}


def sources_for(item: Mapping[str, Any], part: str, medica: MateriaMedica | None) -> list[dict[str, str]]:
    """The sources frozen with an item for a part, with what each of them says there now; none while nothing is loaded."""
    if medica is None or part not in medica.rows:
        return []
    if item["family"] in ("taste-to-effect", "preparation"):
        says = _says_beside(item, part, medica)
    else:
        told = item["presentation"]
        asked = {option.get("axis") for option in item["options"]} | {_finding_axis(item)}
        axes = [axis for axis in AXES if not told or told["pattern"][axis]["degree"] or axis in asked]
        action = told["action"] if told else (item.get("subject") or {}).get("action", "")
        says = medica.sayings(part, action, axes)
    found = [
        {**medica.sources[source], "says": says.get(source, "")}
        for source in item["sources"].get(part, [])
        if source in medica.sources
    ]
    return found + (_sources_of_caution(item, part, medica) if item["family"] == "caution" else [])


def _finding_axis(item: Mapping[str, Any]) -> str:
    """The axis on which a new finding bears; "" where none is told."""
    return str((item.get("subject") or {}).get("finding", {}).get("axis", ""))


def _sources_of_caution(item: Mapping[str, Any], part: str, medica: MateriaMedica) -> list[dict[str, str]]:
    """Who has a caution for the person that is the answer, among the sources that are heard."""
    word = item["options"][item["key"]]["slug"]
    row = medica.rows[part]
    name = medica.terms.get(Term.Kind.PERSON_WORD, {}).get(word, {}).get("name", word.replace("-", " "))
    sources = dict.fromkeys(
        statement.source
        for statement in medica.parts[row.part_slug].statements
        if (statement.predicate, statement.subject) == ("caution", word) and statement.form in (None, row.form)
    )
    return [medica.sources[source] | {"says": f"a caution for {name}"} for source in sources if source in medica.heard]


def _says_beside(item: Mapping[str, Any], part: str, medica: MateriaMedica) -> Says:
    """What sources say of a part's taste and degrees, or of the ways it is prepared. One query."""
    is_sum, subject = item["family"] == "preparation", item["subject"]
    claims = Claim.objects.filter(
        part__slug=medica.rows[part].part_slug, predicate__in=NOTED, source__slug__in=item["sources"].get(part, [])
    ).order_by("position")
    said: dict[str, list[str]] = defaultdict(list)
    for source, predicate, claimed, amount, details in claims.values_list(
        "source__slug", "predicate", "subject", "amount", "details"
    ):
        if is_sum and predicate == Claim.Predicate.PREPARATION:
            how = dose_words({k: v for k, v in details.items() if k in MADE}, medica.terms[Term.Kind.MENSTRUUM])
            name = medica.terms[Term.Kind.PREPARATION].get(claimed, {}).get("name", claimed)
            said[source].append(f"{name}, {how}" if how else str(name))
        elif not is_sum and predicate == Claim.Predicate.TASTE:
            said[source].append(f"{medica.terms[Term.Kind.TASTE].get(claimed, {}).get('name', claimed)} taste")
        elif not is_sum and predicate == Claim.Predicate.DEGREE and claimed in subject["claim"]:
            said[source].append(degree_words(claimed, float(amount or 0)))
    return {source: "; ".join(dict.fromkeys(found)) for source, found in said.items()}


MADE = ("ratio", "menstruum", "alcohol")  # how a preparation is made, without its dose
