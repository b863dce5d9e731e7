"""What the shipped materia medica must hold, at least: classes that differ in kind, sources that speak, cautions."""

from collections import Counter, defaultdict

import pytest
from django.db.models import F, Q

from herbs.catalogue import materia_medica
from herbs.engine import AXES
from herbs.models import Claim, Herb, Part, Source, TeachingSet, Term
from herbs.models.vocabulary import Basis

pytestmark = pytest.mark.django_db
CLASSES = {
    "expectorant", "diuretic", "laxative", "nervine", "digestive-bitter", "demulcent", "astringent", "antispasmodic",
    "carminative", "diaphoretic", "alterative", "circulatory-stimulant", "cholagogue", "lymphatic", "uterine-tonic",
    "venous-tonic", "anticatarrhal", "antirheumatic", "vulnerary", "sedative", "antitussive", "adaptogen",
    "relaxing-nervine", "stimulating-nervine", "nourishing-nervine", "galactagogue",
}  # fmt: skip
PLAIN = 2  # strength of an action that a part has plainly


def kind(medica, number):
    """The kind of a row: whether it raises (+1), lowers (-1) or leaves (0) each axis."""
    return tuple(int(value > 0) - int(value < 0) for value in medica.catalogue.value[number])


def in_class(medica, action):
    """Rows of usual forms that claim an action with some strength."""
    herbs = medica.catalogue
    column = herbs.action_number(action)
    listed = herbs.claims_action[:, column] & herbs.strength[:, column].any(axis=1)
    return [n for n, row in enumerate(herbs.rows) if row.is_usual and listed[n]]


def plainly_in_class(action):
    """Slugs of the parts of which common practice itself claims an action plainly, in the usual form; nothing derived."""
    plain = Claim.objects.filter(
        Q(form="") | Q(form=F("part__usual_form")),
        predicate="action",
        subject=action,
        amount__gte=PLAIN,
        source__slug="common-practice",
    )
    return set(plain.values_list("part__slug", flat=True))


def test_twenty_six_classes_are_asked_about(medica):
    assert len(CLASSES) == 26
    assert {action.slug for action in medica.class_actions} == CLASSES
    assert {asking["action"] for asking in medica.terms["asking"].values()} == CLASSES


def test_at_least_160_parts_have_an_action_of_a_class_plainly():
    parts = set().union(*(plainly_in_class(action) for action in CLASSES))
    assert len(parts) >= 160


@pytest.mark.parametrize("action", sorted(CLASSES))
def test_each_class_holds_at_least_eight_parts_plainly(action):
    assert len(plainly_in_class(action)) >= 8


@pytest.mark.parametrize("action", sorted(CLASSES))
def test_each_class_holds_at_least_eight_parts_that_differ_in_kind(medica, action):
    kinds = defaultdict(list)
    for slug in sorted(plainly_in_class(action)):
        kinds[tuple(medica.catalogue.value[medica.catalogue.row_number(slug)])].append(slug)
    # Eight degree profiles, no two alike; by the signs of the axes alone a class that is warm and moving by nature has fewer.
    assert len(kinds) >= 8, dict(kinds)


@pytest.mark.parametrize("action", sorted(CLASSES))
def test_each_class_has_both_ends_of_temperature_and_of_moisture_or_tone(medica, action):
    kinds = [kind(medica, row) for row in in_class(medica, action)]
    assert {k[0] for k in kinds} >= {-1, 1}
    assert {k[1] for k in kinds} >= {-1, 1} or {k[2] for k in kinds} >= {-1, 1}


def test_every_disputed_part_that_an_asking_holds_back_is_in_the_data(medica):
    named = [d for asking in medica.terms["asking"].values() for d in asking.get("not_offered") or []]
    assert {disputed["part"] for disputed in named} <= set(medica.rows)
    assert all(disputed["axis"] in AXES and disputed["sign"] in (-1, 1) for disputed in named)


def test_at_least_a_hundred_findings_over_nine_groups():
    sites = Counter(finding.details["site"] for finding in Term.objects.filter(kind=Term.Kind.FINDING))
    assert sites.total() >= 100
    assert len(sites) >= 9
    assert min(sites.values()) >= 8, sites


def test_findings_are_told_seen_or_of_tongue_and_pulse():
    findings = Term.objects.filter(kind=Term.Kind.FINDING)
    kinds = defaultdict(list)
    for finding in findings:
        kinds[finding.details["kind"]].append(finding)
    assert set(kinds) == {"told", "seen", "tongue", "pulse"}
    assert len(kinds["tongue"]) >= 5 and len(kinds["pulse"]) >= 5
    known = {"contemporary-western", "chinese", "galenic"}
    assert all(finding.details.get("tradition") in known for name in ("tongue", "pulse") for finding in kinds[name])


def test_every_pole_of_every_axis_has_findings():
    poles = defaultdict(int)
    for finding in Term.objects.filter(kind=Term.Kind.FINDING):
        for axis, degree in finding.details["evidence"].items():
            poles[axis, degree > 0] += 1
    assert set(poles) == {(axis, sign) for axis in AXES for sign in (True, False)}
    assert min(poles.values()) >= 12


def opinions(slug="contemporary-western"):
    """What each heard source (decides or widens) says of each part's axes, unqualified: {part: {axis: {source: degree}}}."""
    heard = TeachingSet.objects.get(slug=slug).roles.exclude(role="shown").values_list("tradition_id", flat=True)
    said = defaultdict(lambda: defaultdict(dict))
    claims = Claim.objects.filter(predicate="degree", form="", site="", source__tradition_id__in=list(heard))
    for part, axis, source, amount in claims.values_list("part__slug", "subject", "source__slug", "amount"):
        said[part][axis][source] = amount
    return said


def test_two_sources_speak_on_an_axis_of_at_least_forty_parts_and_differ_on_fifteen():
    said = opinions()
    twice = [part for part, axes in said.items() if any(len(axis) >= 2 for axis in axes.values())]
    differ = [part for part, axes in said.items() if any(len(set(axis.values())) >= 2 for axis in axes.values())]
    assert len(twice) >= 40
    assert len(differ) >= 15


def test_sources_that_differ_widen_the_interval_and_leave_the_working_value(medica):
    herbs, widened = medica.catalogue, 0
    for part, axes in opinions().items():
        row = herbs.row_number(part)
        for number, axis in enumerate(AXES):
            degrees = axes[axis]
            assert herbs.low[row, number] == min(degrees.values())
            assert herbs.high[row, number] == max(degrees.values())
            assert herbs.value[row, number] == degrees["common-practice"]
            widened += len(set(degrees.values())) > 1
    assert widened >= 15


def test_shown_sources_are_kept_and_never_computed_with(medica):
    shown = Claim.objects.filter(predicate="degree", source__tradition__slug="galenic").select_related("part")
    assert shown.count() >= 75
    assert not set(medica.heard) & set(Source.objects.filter(tradition__slug="galenic").values_list("slug", flat=True))
    herbs = medica.catalogue
    root = herbs.row_number("angelica-archangelica-root")
    assert (
        shown.get(part__slug="angelica-archangelica-root", source__slug="culpeper-1653", subject="temperature").amount
        == 3
    )
    assert herbs.high[root, 0] == herbs.value[root, 0] == 2  # the third degree of 1653 widens nothing


def test_in_a_second_teaching_set_culpeper_decides(medica):
    """His printed degree is the working value there; where he is silent, contemporary practice speaks as in the default set."""
    others = TeachingSet.objects.exclude(is_default=True).filter(
        roles__tradition__slug="galenic", roles__role="decides"
    )
    assert [teaching.slug for teaching in others] == ["after-culpeper"]
    assert not TeachingSet.objects.get(is_default=True).roles.filter(tradition__slug="galenic", role="decides").exists()
    his = materia_medica("after-culpeper").catalogue
    said = opinions("after-culpeper")
    spoken, moved = 0, set()
    for part, axes in said.items():
        row, usual = his.row_number(part), medica.catalogue.row_number(part)
        for number, axis in enumerate(AXES):
            degrees = axes[axis]
            printed = [degrees[source] for source in ("culpeper-1653", "culpeper-entries") if source in degrees]
            decided = printed[0] if printed else degrees["common-practice"]
            assert his.value[row, number] == decided, (part, axis)
            assert his.low[row, number] == min(degrees.values()), (part, axis)
            assert his.high[row, number] == max(degrees.values()), (part, axis)
            spoken += bool(printed)
            if his.value[row, number] != medica.catalogue.value[usual, number]:
                moved.add(part)
    assert spoken >= 60 and len(moved) >= 30


def test_every_claim_has_a_source_with_a_citation_and_a_known_basis():
    assert Claim.objects.count() > 2000
    for source in Source.objects.all():
        assert source.citation.strip() and source.basis in Basis.values
    assert not Claim.objects.filter(source__isnull=True).exists()


def test_every_published_claim_says_how_it_was_seen_and_no_other_does():
    published = Claim.objects.filter(source__basis=Basis.PUBLISHED)
    assert published.count() >= 100
    assert not published.exclude(seen__in=["table", "memory"]).exists()
    assert published.filter(seen="table").exists() and published.filter(seen="memory").exists()
    assert not Claim.objects.exclude(source__basis=Basis.PUBLISHED).exclude(seen="").exists()


def test_every_part_says_all_four_axes_by_the_deciding_source():
    plain = Claim.objects.filter(predicate="degree", source__slug="common-practice", form="", site="")
    said = defaultdict(list)
    for part, axis in plain.values_list("part__slug", "subject"):
        said[part].append(axis)
    for part in Part.objects.all():
        assert sorted(said[part.slug]) == sorted(AXES), part.slug


def test_every_part_has_cautions_places_tastes_and_preparations():
    for part in Part.objects.prefetch_related("claims"):
        said = defaultdict(int)
        for claim in part.claims.all():
            said[claim.predicate] += 1
        assert said["caution"] >= 2, part.slug
        for predicate in ("affinity", "action", "taste", "constituent", "state", "indication", "preparation"):
            assert said[predicate] >= 1, (part.slug, predicate)


def test_at_least_twenty_eight_red_flags_each_saying_why():
    flags = Term.objects.filter(kind=Term.Kind.RED_FLAG)
    assert flags.count() >= 28
    assert all(flag.details["why"].strip() and flag.details["texts"] for flag in flags)
    assert all("refer" in flag.details["why"].lower() for flag in flags)


NOT_TO_MISS = [
    ("phlegm", "blood"), ("stool", "blood"), ("urine", "blood"), ("leg", "swollen"), ("bleeding", "change"),
    ("bleeding", "pregnan"), ("colic", "fever"), ("jaundice",), ("stridor",), ("thunderclap", "headache"),
    ("infant", "fever"), ("self-harm",), ("chest", "effort"),
]  # fmt: skip


@pytest.mark.parametrize("words", NOT_TO_MISS)
def test_the_red_flags_that_nobody_may_miss_are_there(words):
    flags = Term.objects.filter(kind=Term.Kind.RED_FLAG)
    texts = [" ".join([flag.slug, *flag.details["texts"], flag.details["why"]]).lower() for flag in flags]
    assert any(all(word in text for word in words) for text in texts), words


def test_every_toxic_restricted_or_at_risk_herb_says_why():
    marked = Herb.objects.exclude(status=[])
    assert {word for herb in marked for word in herb.status} == {"toxic", "restricted", "at-risk"}
    for herb in marked:
        assert len(herb.status_note.split()) >= 6, herb.slug
    for herb in Herb.objects.filter(status=[]):
        assert not herb.status_note, herb.slug


@pytest.mark.parametrize("slug", ["lobelia-inflata", "artemisia-absinthium", "hedera-helix", "prunus-serotina"])
def test_known_hazards_are_marked(slug):
    assert {"toxic", "restricted"} & set(Herb.objects.get(slug=slug).status)


def test_marks_follow_the_part_into_the_catalogue(medica):
    for herb in Herb.objects.exclude(status=[]).prefetch_related("parts"):
        for part in herb.parts.all():
            assert list(medica.rows[part.slug].marks) == herb.status


def claimed_by_common_practice(part, predicate):
    """Strength by subject and site, as said of the usual form: {subject: {site: strength}}."""
    said = defaultdict(dict)
    for claim in part.claims.all():
        if (
            claim.predicate == predicate
            and claim.source.slug == "common-practice"
            and claim.form in ("", part.usual_form)
        ):
            said[claim.subject][claim.site] = claim.amount
    return said


def test_no_derived_action_is_missing_and_none_is_made_up(medica):
    """Each rule again, from the rows: claimed at the site with 2 or more, no opposed action as strong, .67 of the strength."""
    herbs, graph, met = medica.catalogue, medica.catalogue.graph, defaultdict(int)

    def felt(by_site, site):
        return max((v for where, v in by_site.items() if not where or graph.at_or_above(where, site)), default=0)

    for part in Part.objects.prefetch_related("claims__source"):
        row = herbs.row_number(part.slug)
        actions, places = (claimed_by_common_practice(part, p) for p in ("action", "affinity"))
        for rule in medica.terms["derived-rule"].values():
            source, target = rule["source"], rule["target"]
            within = graph.within(rule["site"])
            reached = [s for s in within if max(places[s].get("", 0), actions[source].get(s, 0)) >= 2]
            for site in within:
                opposed = max((felt(actions[name], site) for name in herbs.actions[target].opposed), default=0)
                strength = herbs.strength[row, herbs.action_number(target), herbs.site_number(site)]
                if site in reached and felt(actions[source], site) >= 2 and felt(actions[source], site) > opposed:
                    met[rule["slug"]] += 1
                    assert strength >= 0.67 * felt(actions[source], site) / 3 - 1e-12, (part.slug, rule["slug"], site)
                if (row, target, site) in herbs.derived:
                    # Where the rule itself does not hold, it has come by the affinity of a place where it does.
                    assert reached and actions[source], (part.slug, rule["slug"], site)
    assert set(met) == set(medica.terms["derived-rule"])
