"""Vignettes: openings, scenarios, sentence orders, phrasings, and how easily they read."""

import json
import re
from collections import Counter, defaultdict
from io import StringIO
from itertools import product
from pathlib import Path
from random import Random

import pytest
from django.core.management import CommandError, call_command

from herbs.loading import Fault
from herbs.loading.vocabulary import read_vocabulary
from herbs.loading.yaml_lines import parse
from lessons.engine import build_scenery
from lessons.engine.audit.layout import guideline_11_proofread, guideline_12_grammar, guideline_13_reading_load
from lessons.engine.audit.text import FILLERS
from lessons.engine.findings import choose, stems
from lessons.engine.people import OLDEST, YOUNGEST, Person, draw
from lessons.engine.reading import Reading, read, report, syllables
from lessons.engine.scenery import Scenario, Scenery
from lessons.engine.vignette import MAX_WORDS, MIN_WORDS, OPENINGS, PLANS, ROOM, compose, count_words, skeleton, write

BANDS = ((19, 30), (31, 45), (46, 60), (61, 76))
NOUNS = ("woman", "man", "person")
LEVEL = (0.0, 0.0, 0.0, 0.0)
# Words that would be read as evidence on one of the axes, or as a hint of illness, rest, food or haste.
QUALITY_WORDS = set(
    re.findall(
        r"[a-z]+",
        """
        hot heat heated warm fire burn burning sun summer kitchen baker stove cold cool chill chilly ice frost winter
        snow damp wet moist water watery rain fog swim canal river boat dry dried dust parched thirst tense tight
        strain strained stress worry nervous anxious clench firm loose lax limp weak slack tired weary spent fast
        quick busy hurry rush restless run runs runner dance dancer slow sluggish dull idle lazy still sit sits stand
        stands walk walks sleep sleeps night nights insomnia food meal meals eat eats cook cooks drink drinks wine
        beer smoke smokes ill illness sick disease pain medicine medicines drug pill nurse doctor hospital heavy drive
        drives driver
        """,
    )
)


@pytest.fixture
def scenery(medica) -> Scenery:
    return build_scenery(medica.terms)


def presentations(scenery: Scenery, rng: Random, wanted: int, most: int = MAX_WORDS) -> list[tuple]:
    """Complaints with findings that alone determine a pattern, spread over everything asked about.

    Those too long for ``most`` words under the longest opening are passed over, as questions pass them over.
    """
    found = []
    while len(found) < wanted:
        asking, form = rng.choice(scenery.askings), rng.choice(scenery.patterns)
        findings = None if form.slug in asking.left_out else choose(scenery, asking, form.pattern, rng)
        if findings is None:
            continue
        complaint, person = rng.choice(asking.complaints), Person(40, "person", asking.holds, LEVEL, form.vigour)
        longest = max(range(len(OPENINGS)), key=lambda number: len(OPENINGS[number].split()))
        text = compose(complaint, person, findings, scenery.words, [], rng, opening=longest, plan=0).text
        if MIN_WORDS + 3 <= count_words(text) <= most - 3:
            found.append((complaint, asking, form, findings))
    return found


def label_words(medica) -> set[str]:
    labels = [row.label for row in medica.catalogue.rows]
    return {word for label in labels for word in re.findall(r"[^\W\d_]+", label.lower())} - FILLERS - {"s"}


class TestVocabulary:
    def test_every_finding_has_three_phrasings(self, medica):
        for kind in ("finding", "order-finding"):
            poor = [slug for slug, entry in medica.terms[kind].items() if len(set(entry["texts"])) < 3]
            assert not poor

    def test_no_phrasing_stands_for_two_things_of_one_site(self, medica):
        for kind in ("finding", "order-finding"):
            said = defaultdict(set)
            for slug, entry in medica.terms[kind].items():
                for text in entry["texts"]:
                    evidence = json.dumps(entry.get("evidence") or [entry.get("root"), entry.get("follower")])
                    said[entry["site"], text].add(evidence if kind == "finding" else slug)
            assert not [key for key, meanings in said.items() if len(meanings) > 1]

    def test_there_are_twelve_openings_four_plans_and_five_scenarios_for_every_age(self, scenery):
        assert len(set(OPENINGS)) >= 12
        assert len(set(PLANS)) >= 4
        for age in range(YOUNGEST, OLDEST + 1):
            fitting = [s for s in scenery.scenarios if s.from_age <= age <= s.to_age]
            assert len(fitting) >= 8, age
            assert len([s for s in fitting if "driving" not in s.bars]) >= 5, age

    def test_scenarios_keep_to_their_age_band(self, scenery):
        assert {(s.from_age, s.to_age) for s in scenery.scenarios} == set(BANDS)
        assert len({s.text for s in scenery.scenarios}) == len(scenery.scenarios)

    def test_scenarios_say_nothing_of_herbs_or_qualities(self, medica, scenery):
        labels = label_words(medica)
        assert "marshmallow" in labels
        spoken = set().union(*(stems(text) for kind in ("finding", "order-finding")
                               for entry in medica.terms[kind].values() for text in entry["texts"]))  # fmt: skip
        for scenario in scenery.scenarios:
            words = set(re.findall(r"[^\W\d_]+", scenario.text.lower()))
            assert not words & labels, scenario.text
            assert not words & QUALITY_WORDS, scenario.text
            assert not stems(scenario.text) & spoken, scenario.text

    def test_openings_and_plans_name_no_herb(self, medica):
        words = set(re.findall(r"[^\W\d_]+", " ".join(OPENINGS).lower())) - {"who", "aside", "complaint"}
        assert not words & label_words(medica)

    def test_faulty_scenarios_are_refused(self, settings):
        folder = Path(settings.MATERIA_MEDICA_DIR) / "vocabulary"
        files = {path.name: parse(path.name, path.read_bytes()) for path in folder.glob("*.yaml")}
        files["scenarios.yaml"] = parse(
            "scenarios.yaml",
            b'- {slug: a, from_age: 19, to_age: 30, text: "who collects coins"}\n'
            b'- {slug: b, from_age: 19, to_age: 30, text: "a collector"}\n'
            b'- {slug: c, from_age: 40, to_age: 30, text: "who plays chess"}\n'
            b'- {slug: d, from_age: 12, to_age: 30, text: "who plays chess"}\n'
            b'- {slug: e, from_age: 19, to_age: 30, text: "who plays chess", bars: [nothing]}\n',
        )
        faults: list[Fault] = []
        read_vocabulary(files, faults)
        assert [fault.line for fault in faults] == [2, 3, 4, 5]


class TestWriting:
    def test_every_opening_scenario_and_plan_reads_well(self, scenery):
        rng = Random(7)
        cases = presentations(scenery, rng, 60)
        seen, spoken = set(), set()
        grid = product(range(len(OPENINGS)), scenery.scenarios, range(len(PLANS)))
        for number, (opening, scenario, plan) in enumerate(grid):
            complaint, asking, form, findings = cases[number % len(cases)]
            noun = "woman" if asking.only else NOUNS[number % 3]
            age = rng.randint(scenario.from_age, scenario.to_age)
            person = Person(age, noun, asking.holds, LEVEL, form.vigour, scenario)
            vignette = compose(complaint, person, findings, scenery.words, [], rng, opening=opening, plan=plan)
            item = {"vignette": vignette.text}
            assert guideline_11_proofread(item) is None, vignette.text
            assert guideline_12_grammar(item) is None, vignette.text
            assert guideline_13_reading_load(item) is None, vignette.text
            assert not re.search(r"[{}]|, ,|,\.", vignette.text)
            told = scenario.text in vignette.text
            assert vignette.skeleton == skeleton(opening, scenario.slug if told else "none", plan)
            seen.add(vignette.skeleton)
            spoken |= {scenario.slug} if told else set()
        assert spoken == {scenario.slug for scenario in scenery.scenarios}
        assert len(seen) > len(OPENINGS) * len(PLANS) * len(scenery.scenarios) / 4

    def test_every_opening_reads_well_with_and_without_a_scenario(self, scenery):
        complaint, _, _, findings = presentations(scenery, Random(3), 1, most=70)[0]
        for opening, scenario in product(range(len(OPENINGS)), (None, scenery.scenarios[0])):
            person = Person(24, "person", frozenset(), LEVEL, "ordinary", scenario)
            vignette = compose(complaint, person, findings, scenery.words, [], Random(1), opening=opening, plan=0)
            first = vignette.text.split(". ")[0]
            assert complaint in first and "person of 24" in first
            assert (", " + scenery.scenarios[0].text + "," in first) == (scenario is not None)

    def test_plans_differ_and_keep_what_belongs_together_in_order(self):
        for plan in PLANS:
            assert sorted(plan) == sorted(PLANS[0])
            assert plan.index("told") < plan.index("recalled") < plan.index("idle")
            assert plan.index("constitution") < plan.index("facts")
        orders = {tuple(slot for slot in plan if slot in ("told", "found", "facts")) for plan in PLANS}
        assert len(orders) == len(PLANS)

    def test_the_order_finding_follows_what_is_told(self, scenery):
        rng = Random(11)
        ordered = [case for case in presentations(scenery, rng, 80) if any(f.order for f in case[3])]
        assert ordered
        for complaint, asking, form, findings in ordered:
            told = [f.text for f in findings if f.kind == "told" and not f.order and f.evidence]
            for plan in range(len(PLANS)):
                person = Person(40, "woman", asking.holds, LEVEL, form.vigour)
                text = compose(complaint, person, findings, scenery.words, [], rng, opening=1, plan=plan).text
                places = [text.index(f.text) for f in findings if f.order]
                assert all(text.index(said) < min(places) for said in told)

    def test_the_same_seed_gives_the_same_text(self, scenery):
        complaint, asking, form, findings = presentations(scenery, Random(5), 1)[0]

        def written(seed: int) -> tuple[str, str]:
            rng = Random(seed)
            person = draw(
                rng, only=asking.only, word=None, constitution=LEVEL, vigour=form.vigour, holds=asking.holds,
                scenarios=scenery.scenarios,
            )  # fmt: skip
            vignette = write(complaint, person, findings, scenery.words, [], rng)
            return vignette.text, vignette.skeleton

        first = [written(seed) for seed in range(200)]
        assert first == [written(seed) for seed in range(200)]
        assert len({text for text, _ in first}) > 190
        assert len({shape for _, shape in first}) > 60

    def test_skeletons_differ_when_any_part_differs(self, scenery):
        slugs = ["none", *(scenario.slug for scenario in scenery.scenarios)]
        parts = list(product(range(len(OPENINGS)), slugs, range(len(PLANS))))
        assert len({skeleton(*part) for part in parts}) == len(parts)

    def test_a_scenario_is_left_out_where_the_text_is_long(self, scenery):
        long = Scenario("long", "who " + "keeps bees and " * 20 + "collects coins", 19, 30)
        complaint, _, _, findings = presentations(scenery, Random(3), 1)[0]
        person = Person(24, "woman", frozenset(), LEVEL, "ordinary", long)
        vignette = write(complaint, person, findings, scenery.words, [], Random(2))
        assert long.text not in vignette.text and "-none-" in vignette.skeleton
        assert ROOM < MAX_WORDS


class TestPeople:
    def test_scenarios_fit_age_and_words(self, scenery):
        met = set()
        for seed in range(3000):
            word = scenery.words["driving"] if seed % 3 == 0 else None
            only = "woman" if seed % 7 == 0 else None
            person = draw(
                Random(seed), only=only, word=word, constitution=LEVEL, vigour="ordinary", scenarios=scenery.scenarios
            )
            assert person.scenario.from_age <= person.age <= person.scenario.to_age
            assert not person.words & person.scenario.bars
            met.add(person.scenario.slug)
        assert met == {scenario.slug for scenario in scenery.scenarios}

    def test_without_scenarios_a_person_has_none(self):
        person = draw(Random(1), only=None, word=None, constitution=LEVEL, vigour="ordinary")
        assert person.scenario is None


class TestReadingEase:
    def test_worked_values(self):
        # Flesch (1948) calls 17 words a sentence and 147 syllables in 100 words standard, which is an ease of 60 to 70.
        assert 60 <= Reading(1700, 100, 2499).ease <= 70
        # Worked by hand: 206.835 - 1.015 * 13 - 84.6 * 24 / 13, and .39 * 13 + 11.8 * 24 / 13 - 15.59.
        assert Reading(13, 1, 24).ease == pytest.approx(37.455, abs=0.001)
        assert Reading(13, 1, 24).grade == pytest.approx(11.265, abs=0.001)

    def test_a_text_counted_by_hand(self):
        text = "A man of 40 asks about a cough. He reports thick phlegm, and takes no medicines."
        # a man of 40 asks a-bout a cough / he re-ports thick phlegm and takes no me-di-cines
        counted = read(text)
        assert (counted.words, counted.sentences, counted.syllables) == (16, 2, 20)
        assert counted.ease == pytest.approx(206.835 - 1.015 * 8 - 84.6 * 20 / 16)

    @pytest.mark.parametrize(
        ("word", "count"),
        [
            ("cough", 1), ("woman", 2), ("takes", 1), ("tongue", 1), ("medicines", 3), ("breastfeeding", 3), ("table", 2),
            ("settles", 2), ("handled", 2), ("boxes", 2), ("changes", 2), ("rested", 2), ("clenched", 1), ("drying", 2),
            ("quiet", 2), ("easier", 3), ("sleepily", 3), ("region", 2), ("medium", 3), ("patient", 2), ("usual", 3),
            ("loosely", 2), ("soreness", 2), ("tasteless", 2), ("movements", 2), ("palpitations", 4), ("area", 3), ("fluid", 2),
            ("washed-out", 2), ("nephew's", 2), ("34", 1), ("aches", 1), ("the", 1), ("examination", 5), ("ultraviolet", 5),
        ],
    )  # fmt: skip
    def test_syllables(self, word, count):
        assert syllables(word) == count

    def test_nothing_to_read(self):
        with pytest.raises(ValueError, match="no words"):
            read(" . ")

    def test_report_by_family(self):
        easy, hard = "He coughs. He rests.", "Examination demonstrates considerable discolouration."
        texts = [("b", easy), ("a", easy), ("a", hard), ("a", easy), ("a", easy)]
        families = report({"family": family, "vignette": text} for family, text in texts)
        assert [(family.family, family.texts) for family in families] == [("a", 4), ("b", 1)]
        first = families[0]
        assert first.hardest[0] == (read(hard).ease, hard) and len(first.hardest) == 3
        mean, low, high = first.ease
        assert low < mean < high == pytest.approx(read(easy).ease)
        assert first.words == 4 and first.sentence_length == 2.5

    def test_command_reports_and_refuses(self, tmp_path):
        path = tmp_path / "items.jsonl"
        rows = [{"family": "best-fit", "vignette": "He coughs at night."}, {"family": "kinds", "vignette": ""}]
        path.write_text("\n".join(map(json.dumps, rows)) + "\n")
        out = StringIO()
        call_command("reading_ease", path, stdout=out)
        assert re.search(r"best-fit +1 +\d", out.getvalue()) and "He coughs at night." in out.getvalue()
        assert "kinds" not in out.getvalue()
        for text, said in (('{"family"', "Line 1"), ("[1]", "Line 1"), ("", "no items")):
            path.write_text(text)
            with pytest.raises(CommandError, match=said):
                call_command("reading_ease", path, stdout=out)
        with pytest.raises(CommandError, match="cannot be read"):
            call_command("reading_ease", tmp_path / "absent.jsonl", stdout=out)

    def test_vignettes_read_easily(self, scenery):
        rng = Random(9)
        eases = []
        for complaint, asking, form, findings in presentations(scenery, rng, 150):
            person = draw(
                rng, only=asking.only, word=None, constitution=LEVEL, vigour=form.vigour, holds=asking.holds,
                scenarios=scenery.scenarios,
            )  # fmt: skip
            eases.append(read(write(complaint, person, findings, scenery.words, [], rng).text).ease)
        assert sum(eases) / len(eases) > 65
        assert min(eases) > 40


def test_no_two_findings_that_can_meet_are_worded_alike(scenery):
    for asking in scenery.askings:
        found = [f for poles in scenery.single[asking.slug].values() for group in poles for f in group]
        found += scenery.paired[asking.slug]
        told = Counter(text for finding in {f.slug: f for f in found}.values() for text in finding.texts)
        assert [text for text, count in told.items() if count > 1] == [], asking.slug
