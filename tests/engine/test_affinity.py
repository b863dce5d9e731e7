"""How far a claimed affinity reaches over the body-site graph, and where an action is felt."""

import numpy as np
import pytest

from herbs.engine import (
    ActionTerm,
    PartRecord,
    Site,
    SiteGraph,
    Statement,
    TeachingSet,
    UnknownNameError,
    compile_catalogue,
)

GRAPH = SiteGraph([
    Site("respiratory", "airways", "system"),
    Site("bronchi", "bronchi", "organ", frozenset({"respiratory"})),
    Site("lungs", "lungs", "organ", frozenset({"respiratory"})),
    Site("head-and-senses", "head", "system"),
    Site("throat", "throat", "organ", frozenset({"respiratory", "head-and-senses"})),
    Site("sinuses", "sinuses", "organ", frozenset({"head-and-senses"})),
    Site("urinary", "urinary tract", "system"),
    Site("bladder", "bladder", "organ", frozenset({"urinary"})),
    Site("lining", "mucous membranes", "tissue", frozenset({"respiratory", "urinary"})),
    Site("small-vessels", "small vessels", "tissue", frozenset({"bladder"})),
])  # fmt: skip
ACTIONS = {name: ActionTerm(name, name, name, is_class=True) for name in ("expectorant", "diuretic")}
SET = TeachingSet("test", (("teacher", "decides"),))


def compiled(*statements):
    part = PartRecord("herb", "herb", "Herba", "herb", "tea", statements)
    return compile_catalogue([part], SET, GRAPH, ACTIONS, [], [], "test")


def affinity(site, *claims):
    """A at a site for (claimed site, strength) pairs."""
    herbs = compiled(*(Statement("affinity", claimed, strength, "teacher") for claimed, strength in claims))
    return float(herbs.affinity[0, herbs.site_number(site)])


@pytest.mark.parametrize(
    ("claimed", "wanted", "share"),
    [
        ("bronchi", "bronchi", 1.0),  # the same place
        ("respiratory", "bronchi", 0.8),  # a system to its organ
        ("bronchi", "respiratory", 0.67),  # an organ to its system
        ("bronchi", "lungs", 0.33),  # to a sibling organ
        ("throat", "bronchi", 0.33),  # siblings through one of two systems
        ("throat", "sinuses", 0.33),  # and through the other
        ("throat", "head-and-senses", 0.67),
        ("lining", "respiratory", 0.67),  # a tissue to what it serves
        ("small-vessels", "bladder", 0.67),
        ("lining", "bronchi", 0.0),  # a tissue serves the system named, not its organs
        ("respiratory", "lining", 0.0),  # never up into a shared lining
        ("respiratory", "urinary", 0.0),  # nor down into another system
        ("bronchi", "bladder", 0.0),
        ("respiratory", "head-and-senses", 0.0),  # a shared organ is no bridge between systems
        ("bronchi", "sinuses", 0.0),
        ("lining", "small-vessels", 0.0),
    ],
)
def test_each_kind_of_step_has_its_share(claimed, wanted, share):
    assert GRAPH.reach(claimed, wanted) == share


def test_a_second_step_is_never_taken():
    """Bronchi to airways to throat would be .67 * .8; only the sibling's share is left."""
    assert GRAPH.reach("bronchi", "throat") == 0.33
    assert GRAPH.reach("sinuses", "bronchi") == 0.0  # by the throat it would be a way round


@pytest.mark.parametrize("strength", [0, 1, 2, 3])
def test_strength_counts_in_thirds(strength):
    assert affinity("bronchi", ("bronchi", strength)) == pytest.approx(strength / 3, abs=1e-15)
    assert affinity("bronchi", ("respiratory", strength)) == pytest.approx(0.8 * strength / 3, abs=1e-15)


def test_the_best_path_counts_and_paths_never_add():
    # 2/3 from the system (.8) is .533; 1/3 at the organ itself is .333; 3/3 from the sibling is .33.
    assert affinity("bronchi", ("respiratory", 2), ("bronchi", 1), ("lungs", 3)) == pytest.approx(0.8 * 2 / 3)
    assert affinity("bronchi", ("respiratory", 1), ("lungs", 3)) == pytest.approx(0.33)


def test_no_claim_means_no_affinity():
    assert affinity("bladder", ("respiratory", 3)) == 0


def action(site, *statements, name="expectorant"):
    herbs = compiled(*statements)
    return float(herbs.strength[0, herbs.action_number(name), herbs.site_number(site)])


def test_an_action_counts_in_full_where_claimed_and_in_the_organs_below():
    claim = Statement("action", "expectorant", 2, "teacher", site="respiratory")
    assert action("respiratory", claim) == pytest.approx(2 / 3)
    assert action("bronchi", claim) == pytest.approx(2 / 3)
    assert action("throat", claim) == pytest.approx(2 / 3)


def test_an_action_elsewhere_counts_by_the_affinity_there():
    claim = Statement("action", "expectorant", 3, "teacher", site="bronchi")
    assert action("lungs", claim) == 0
    place = Statement("affinity", "bronchi", 3, "teacher")
    assert action("lungs", claim, place) == pytest.approx(0.33)  # 3/3 * .33
    assert action("respiratory", claim, place) == pytest.approx(0.67)
    assert action("bladder", claim, place) == 0


def test_an_action_without_a_place_follows_the_affinity():
    claim = Statement("action", "diuretic", 3, "teacher")
    place = Statement("affinity", "urinary", 2, "teacher")
    assert action("bladder", claim, place, name="diuretic") == pytest.approx(0.8 * 2 / 3)
    assert action("bronchi", claim, place, name="diuretic") == 0


def test_strengths_come_from_the_first_deciding_source_that_speaks():
    roles = (("first", "decides"), ("second", "decides"), ("third", "widens"), ("fourth", "shown"))
    said = [Statement("affinity", "bladder", strength, source) for source, strength in
            (("fourth", 3), ("third", 3), ("second", 2))]  # fmt: skip
    part = PartRecord("herb", "herb", "Herba", "herb", "tea", tuple(said))
    herbs = compile_catalogue([part], TeachingSet("test", roles), GRAPH, ACTIONS, [], [], "test")
    assert herbs.affinity[0, herbs.site_number("bladder")] == pytest.approx(2 / 3)
    herbs = compile_catalogue([part], TeachingSet("test", roles[2:]), GRAPH, ACTIONS, [], [], "test")
    assert not np.any(herbs.affinity)  # sources that only widen or are only shown decide no strength


def test_unknown_sites_are_named_in_the_error():
    with pytest.raises(UnknownNameError, match="gizzard"):
        GRAPH.reach("gizzard", "lungs")
    with pytest.raises(UnknownNameError, match="gizzard"):
        SiteGraph([Site("crop", "crop", "organ", frozenset({"gizzard"}))])
    with pytest.raises(UnknownNameError, match="gizzard"):
        compiled().site_number("gizzard")
    with pytest.raises(UnknownNameError, match="purge"):
        compiled().action_number("purge")
    with pytest.raises(UnknownNameError, match="weed"):
        compiled().row_number("weed")


def test_every_site_of_the_shipped_graph_reaches_itself_and_none_reaches_more_than_fully(medica):
    graph = medica.catalogue.graph
    for one in graph.sites:
        assert graph.reach(one, one) == 1
        for other in graph.sites:
            assert graph.reach(one, other) in (0, 0.33, 0.67, 0.8, 1)
            if other != one:
                assert graph.reach(one, other) < 1
