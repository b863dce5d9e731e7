"""Every kind of answer: asked on the page, read from what is posted, and worked to the end without scripts."""

import copy
import html
import re
import uuid

import pytest
from django.urls import reverse

from lessons.engine import FAMILIES, responses
from lessons.engine.trust import PROVED
from lessons.models import Item
from quizzes.models import Attempt
from quizzes.widgets import NO_HERB, NOTHING_CHOSEN, UnreadableAnswerError, read_answer, widget
from tests import factories, people
from tests.factories import address
from tests.lessons.families.base import posted

HERBS = [{"part": f"herb-{number}", "label": f"herb {number}", "fault": None} for number in range(4)]
ITEMS = {
    "choose": {"response": "choose", "options": HERBS},
    "rank": {"response": "rank", "options": HERBS},
    "match": {"response": "match", "options": HERBS, "kinds": ["one", "two", "three", "four"]},
    "place": {"response": "place", "options": HERBS[:1]},
    "lean": {"response": "lean", "options": HERBS[:1]},
}
BROKEN = {
    "choose": [{}, {"choice": ""}, {"choice": "-1"}, {"choice": "1.0"}, {"choice": "²"}, {"choice": "0001"}],
    "rank": [
        {},
        {"option-0": "1", "option-1": "2", "option-2": "3"},
        {"option-0": "1", "option-1": "1", "option-2": "2", "option-3": "3"},
        {"option-0": "0", "option-1": "1", "option-2": "2", "option-3": "3"},
        {"option-0": "2", "option-1": "3", "option-2": "4", "option-3": "5"},
        {"option-0": "one", "option-1": "2", "option-2": "3", "option-3": "4"},
    ],
    "match": [
        {},
        {"option-0": "0", "option-1": "1", "option-2": "2", "option-3": ""},
        {"option-0": "0", "option-1": "0", "option-2": "1", "option-3": "2"},
        {"option-0": "1", "option-1": "2", "option-2": "3", "option-3": "4"},
    ],
    "place": [
        {},
        {"temperature": "1"},
        {"temperature": "5", "moisture": "0"},
        {"temperature": "1", "moisture": "--1"},
        {"temperature": "+1", "moisture": "1"},
        {"temperature": "1", "moisture": "-"},
        {"temperature": "10", "moisture": "1"},
    ],
    "lean": [{}, {"choice": "-2"}, {"choice": "more"}],
}
SECRET = ("decisive", "misconception", "certificate", "verdict", "(key)")
TOKENS = re.compile(r'(csrfmiddlewaretoken" value=|X-CSRFToken": )"\w{64}"')


@pytest.mark.parametrize("kind", ITEMS)
def test_every_whole_answer_is_read_as_it_was_meant(kind):
    item = ITEMS[kind]
    for number in range(responses.count(item)):
        assert read_answer(item, posted(item, number)) == number


@pytest.mark.parametrize(("kind", "sent"), [(kind, sent) for kind, found in BROKEN.items() for sent in found])
def test_an_answer_that_is_not_whole_gets_a_sentence_that_says_what_to_do(kind, sent):
    with pytest.raises(UnreadableAnswerError) as caught:
        read_answer(ITEMS[kind], sent)
    assert str(caught.value) == (NO_HERB if kind == "choose" else NOTHING_CHOSEN[kind])


def test_options_that_are_no_herbs_are_called_answers():
    item = {"response": "choose", "options": [{"slug": "hot", "label": "hot"}] * 4}
    with pytest.raises(UnreadableAnswerError, match="one of the answers"):
        read_answer(item, {})


def test_what_the_sentences_tell_apart():
    assert len(set(NOTHING_CHOSEN.values())) == len(NOTHING_CHOSEN) == len(ITEMS)
    assert all(sentence.endswith(".") for sentence in (NO_HERB, *NOTHING_CHOSEN.values()))


@pytest.mark.parametrize("kind", ITEMS)
def test_a_widget_has_a_template_a_button_and_nothing_of_the_key(kind):
    plain = widget(ITEMS[kind])
    assert plain["template"] == f"quizzes/widgets/_{kind}.html"
    assert plain["lock"].startswith("Lock the ")
    keyed = [ITEMS[kind] | {"key": key} for key in (0, 1, [3, 2, 1, 0], {"low": [1, 1], "high": [2, 2]})]
    assert [repr(widget(item)) for item in keyed] == [repr(plain)] * len(keyed)


def test_the_scales_of_the_plane_hold_every_degree_by_name():
    (_, _, _, _, warm), (_, _, _, _, moist) = widget(ITEMS["place"])["scales"]
    assert [value for value, _, _ in warm] == [value for value, _, _ in moist] == list(range(-4, 5))
    assert (warm[0][2], warm[4][2], moist[6][2]) == (
        "cools in the fourth degree",
        "temperate",
        "moistens in the second degree",
    )


def started(client, family: str) -> Attempt:
    """A drill of five questions of a family, started on the page; one that waits for its panel is stored as if it had met."""
    if family not in PROVED:
        item = factories.banked_item(family=family, review="approved")
        drill = factories.attempt(people.student(), length=1)
        drill.questions.update(item=item)
        return drill
    sent = {"action": "mixed", "length": 5, "family": family, "code": uuid.uuid4()}
    assert client.post(reverse("quizzes:attempt-start"), sent).status_code == 302
    return Attempt.objects.get()


def page(client, place: str) -> str:
    """The text of a page that is there, without what is random by design."""
    response = client.get(place)
    assert response.status_code == 200
    return TOKENS.sub("", html.unescape(response.content.decode()))


def with_other_secrets(item: dict, *, shown: int | None = None) -> dict:
    """The item with another key, other faults, figures and statuses; and other reasons, but for those shown by now."""
    changed = copy.deepcopy(item)
    kind, key, options = item["response"], item["key"], changed["options"]
    if kind == "choose":
        changed["key"] = (key + 1) % len(options)
        faults = [option["fault"] for option in options]
        for option, fault in zip(options, faults[-1:] + faults[:-1], strict=True):
            option["fault"] = fault and f"another than {fault}"
    elif kind in ("rank", "match"):
        changed["key"] = key[::-1]
    elif kind == "place":
        changed["key"] = {"low": [-4, -4], "high": [-4, -4]}
    for option in options:
        option.update({name: "little" for name in ("verdict",) if name in option})
        option.update({name: {"low": 0, "high": 1} for name in ("fit",) if name in option})
    for number, reasons in enumerate(changed["because"]):
        statuses = [reason["status"] for reason in reasons]
        for reason, status in zip(reasons, statuses[-1:] + statuses[:-1], strict=True):
            reason["status"] = status
            if number != shown:
                reason["text"] = "Another reason."
    for row in changed["certificate"]["rows"]:
        row.update({name: [4, 4, 4, 4] for name in ("value", "low", "high")})
    return changed | {"seed": 1, "recipe": {}, "sources": {}, "difficulty": {}}


def same_with_other_secrets(client, asked, place: str, **options) -> str:
    """The page, found to be the same whatever an item hides."""
    before, item = page(client, place), asked.item
    factories.store(asked, with_other_secrets(item.opened, **options))
    try:
        assert page(client, place) == before
    finally:
        Item.objects.filter(pk=item.pk).update(content=item.content)
    return before


def work(client, asked, answer: int) -> dict:
    """Answer a question as a browser without scripts does, looking at each stage; what was shown of it."""
    item, place = asked.item.opened, address(asked)
    reasons_shown = answer if len(item["because"]) > 1 else 0
    first = same_with_other_secrets(client, asked, place)
    assert item["stem"] in first
    assert all(option["label"] in first for option in item["options"] if item["response"] != "lean")
    assert 'name="reason"' not in first
    sentence = page_after(client, address(asked, "choice"), {})
    assert "before you lock" in sentence
    assert not asked.attempt.questions.filter(answer__isnull=False, pk=asked.pk).exists()
    page_after(client, address(asked, "choice"), posted(item, answer))
    second = same_with_other_secrets(client, asked, place, shown=reasons_shown)
    offered = item["because"][reasons_shown]
    assert second.count('name="reason"') == len(offered)
    assert all(reason["text"] in second for reason in offered)
    for text in (first, second, sentence):
        assert not [secret for secret in SECRET if secret in text]
    assert "Choose the reason" in page_after(client, address(asked, "reason"), {})
    third = page_after(client, address(asked, "reason"), {"reason": "0"})
    assert offered[0]["text"] in third
    assert "By guessing" in third
    return item


def page_after(client, place: str, sent: dict) -> str:
    """The page that a posted form leads to."""
    response = client.post(place, sent, follow=True)
    assert response.status_code == 200
    assert len(response.redirect_chain) == 1
    return html.unescape(response.content.decode())


@pytest.mark.django_db
@pytest.mark.parametrize("family", FAMILIES)
def test_a_drill_of_every_family_is_worked_to_the_end_without_scripts(family):
    client = people.client_of(people.student())
    drill = started(client, family)
    for position in range(1, drill.length + 1):
        asked = factories.question(drill, position)
        right = responses.right_response(asked.item.opened)
        wrong = (position * 7) % responses.count(asked.item.opened)
        item = work(client, asked, wrong if right is None or position > 1 else right)
        assert item["family"] == family
    drill.refresh_from_db()
    assert drill.state == Attempt.State.FINISHED
    first = factories.question(drill).answer
    assert (first.choice_points > 0) is (family in PROVED)
    results = page(client, reverse("quizzes:attempt-results", args=[drill.code]))
    assert f"over {drill.length} of {drill.length} questions" in results
    assert page(client, reverse("quizzes:drill-list")).count(drill.title) >= 1


@pytest.mark.django_db
@pytest.mark.parametrize("family", ["order-by-fit", "place-on-the-plane"])
def test_an_answer_beyond_the_last_is_told_and_locks_nothing(family):
    client = people.client_of(people.student())
    asked = factories.question(started(client, family))
    for sent in ({f"option-{n}": "4" for n in range(4)}, {"temperature": "9", "moisture": "9"}, {"choice": "99"}):
        assert "before you lock" in page_after(client, address(asked, "choice"), sent)
    assert not asked.attempt.questions.filter(answer__isnull=False).exists()


@pytest.mark.django_db
def test_a_choice_beyond_the_last_is_told_and_locks_nothing():
    client = people.client_of(people.student())
    asked = factories.question(started(client, "caution"))
    assert "There is no such option" in page_after(client, address(asked, "choice"), {"choice": "4"})
    assert not asked.attempt.questions.filter(answer__isnull=False).exists()
