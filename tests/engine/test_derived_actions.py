"""What an action amounts to at a site: the share, the condition, the veto and the derivation."""

import pytest

from herbs.engine import ActionTerm, DerivedRule, PartRecord, Site, SiteGraph, Statement, TeachingSet, compile_catalogue

GRAPH = SiteGraph([
    Site("respiratory", "airways", "system"),
    Site("bronchi", "bronchi", "organ", frozenset({"respiratory"})),
    Site("lungs", "lungs", "organ", frozenset({"respiratory"})),
    Site("digestive", "digestive tract", "system"),
    Site("bowel", "bowel", "organ", frozenset({"digestive"})),
    Site("stomach", "stomach", "organ", frozenset({"digestive"})),
])  # fmt: skip
ACTIONS = {
    "expectorant": ActionTerm("expectorant", "expectorant", "expectorants", frozenset({"antitussive"}), True),
    "laxative": ActionTerm("laxative", "laxative", "laxatives", frozenset({"astringent"}), True),
    "antitussive": ActionTerm("antitussive", "antitussive", "antitussives", frozenset({"expectorant"})),
    "astringent": ActionTerm("astringent", "astringent", "astringents", frozenset({"laxative"})),
    "demulcent": ActionTerm("demulcent", "demulcent", "demulcents"),
    "antispasmodic": ActionTerm("antispasmodic", "antispasmodic", "antispasmodics"),
}
SOOTHES = "a demulcent that reaches the airways acts there as a moistening expectorant"
RULES = [
    DerivedRule("demulcent", "respiratory", "expectorant", SOOTHES),
    DerivedRule("antispasmodic", "bowel", "laxative", "an antispasmodic frees a gripped bowel"),
]
SET = TeachingSet("test", (("teacher", "decides"),))


def compiled(*statements):
    part = PartRecord("herb", "herb", "Herba", "herb", "tea", statements)
    return compile_catalogue([part], SET, GRAPH, ACTIONS, RULES, [], "test")


def acts(strength, name="demulcent", site="respiratory"):
    return Statement("action", name, strength, "teacher", site=site)


def place(strength, site="respiratory"):
    return Statement("affinity", site, strength, "teacher")


def felt(herbs, name="expectorant", site="respiratory"):
    return float(herbs.strength[0, herbs.action_number(name), herbs.site_number(site)])


def test_a_demulcent_that_reaches_the_airways_acts_there_as_an_expectorant():
    herbs = compiled(acts(3), place(3))
    assert felt(herbs) == pytest.approx(0.67)  # .67 * 3/3
    assert felt(herbs, site="bronchi") == pytest.approx(0.67)  # in full in the organs below
    assert felt(compiled(acts(2), place(3))) == pytest.approx(0.67 * 2 / 3)


def test_the_derivation_says_why():
    herbs = compiled(acts(3), place(3))
    assert herbs.derived[(0, "expectorant", "respiratory")] == RULES[0]


def test_the_site_must_be_claimed_with_strength_two():
    assert felt(compiled(acts(1), place(1))) == 0
    assert felt(compiled(acts(1), place(2))) == 0  # the action itself is only slight
    assert felt(compiled(acts(2))) == pytest.approx(0.67 * 2 / 3)  # or by the action itself, at that site
    assert felt(compiled(acts(3, site="digestive"), place(3, "digestive"))) == 0  # another site claimed


def test_an_action_said_without_a_place_needs_the_affinity():
    assert felt(compiled(acts(3, site=None))) == 0
    assert felt(compiled(acts(3, site=None), place(2))) == pytest.approx(0.67)


def test_a_rule_for_an_organ_holds_in_that_organ_when_the_system_is_claimed_for_the_action():
    gripped = compiled(acts(3, "antispasmodic", "digestive"), place(3, "bowel"))
    assert felt(gripped, "laxative", "bowel") == pytest.approx(0.67)
    # The organ's own claim is what counts: the system alone does not carry the rule into it.
    assert felt(compiled(acts(3, "antispasmodic", "digestive"), place(3, "digestive")), "laxative", "bowel") == 0


def test_a_claim_at_an_organ_derives_there_and_not_in_the_whole_system():
    herbs = compiled(acts(3, site="bronchi"), place(3, "bronchi"))
    assert felt(herbs, site="bronchi") == pytest.approx(0.67)
    assert (0, "expectorant", "bronchi") in herbs.derived
    assert felt(herbs, site="respiratory") == 0  # a derived action is carried no further than where it was claimed


def test_an_opposed_action_of_equal_strength_vetoes():
    assert felt(compiled(acts(2), place(3), acts(2, "antitussive"))) == 0
    assert felt(compiled(acts(2), place(3), acts(3, "antitussive"))) == 0


def test_a_weaker_opposed_action_or_one_elsewhere_does_not_veto():
    assert felt(compiled(acts(3), place(3), acts(2, "antitussive"))) == pytest.approx(0.67)
    assert felt(compiled(acts(2), place(3), acts(3, "antitussive", "bowel"))) == pytest.approx(0.67 * 2 / 3)


def test_a_stronger_claim_is_kept_and_carries_no_derivation():
    herbs = compiled(acts(3), place(3), acts(3, "expectorant"))
    assert felt(herbs) == 1
    assert not herbs.derived


def test_a_weaker_claim_is_lifted_and_the_derivation_is_told():
    herbs = compiled(acts(3), place(3), acts(1, "expectorant"))
    assert felt(herbs) == pytest.approx(0.67)
    assert herbs.derived[(0, "expectorant", "respiratory")] == RULES[0]


def test_a_derived_action_does_not_put_the_herb_on_the_list_of_its_class():
    herbs = compiled(acts(3), place(3))
    assert not herbs.claims_action[0, herbs.action_number("expectorant")]
    assert herbs.claims_action[0, herbs.action_number("demulcent")]


def test_an_opposed_action_of_strength_two_bars_the_class_at_its_site_alone():
    herbs = compiled(acts(2, "astringent", "bowel"), acts(1, "antitussive"))
    laxative, expectorant = herbs.action_number("laxative"), herbs.action_number("expectorant")
    assert herbs.opposes[0, laxative, herbs.site_number("bowel")]
    assert not herbs.opposes[0, laxative, herbs.site_number("stomach")]
    assert not herbs.opposes[0, expectorant].any()  # strength 1 is a side effect


def test_the_shipped_rules_name_their_actions_and_sites(medica):
    rules = medica.terms["derived-rule"].values()
    assert {(rule["source"], rule["site"], rule["target"]) for rule in rules} >= {
        ("demulcent", "respiratory", "expectorant"),
        ("demulcent", "urinary", "diuretic"),
        ("antispasmodic", "bowel", "laxative"),
    }
    herbs = medica.catalogue
    row = herbs.row_number("dioscorea-villosa-root")
    assert not herbs.claims_action[row, herbs.action_number("laxative")]
    assert herbs.derived[(row, "laxative", "bowel")].source == "antispasmodic"
    assert herbs.strength[row, herbs.action_number("laxative"), herbs.site_number("bowel")] == pytest.approx(0.67)
