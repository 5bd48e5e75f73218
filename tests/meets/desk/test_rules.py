import pytest

from meets.desk.rules.forms import RulesForm
from meets.desk.rules.reads import GROUPS, UNCHANGED, rule_groups, source_in_words
from scoring.rulesets import rules
from tests.factories import LogRowFactory

MEET_RULES = "/desk/spring-jumps/settings/rules/"


def written(owner, **changes):
    """The whole form as a browser sends it, some fields changed."""
    form = RulesForm(owner=owner)
    return {**{name: field.initial for name, field in form.fields.items()}, **changes}


def test_every_rule_stands_under_one_heading():
    named = [name for _title, names in GROUPS for name in names]
    assert sorted(named) == sorted({rule.name for rule in rules()} - set(UNCHANGED))


@pytest.mark.parametrize(
    ("source", "words"),
    [
        ("CP", "common practice"),
        ("WA / PUB", "World Athletics / a published text"),
        ("MEM (a book of about 2018 had 30 s)", "from memory (a book of about 2018 had 30 s)"),
    ],
)
def test_a_source_is_spelled_out(source, words):
    assert source_in_words(source) == words


def test_only_what_differs_from_the_set_is_stored(desk_client, meet):
    answer = desk_client.post(MEET_RULES, written(meet, rounds="4", points=" 9  8 7 6 5 4 3 2 1 "))
    assert (answer.status_code, answer["Location"]) == (302, "/desk/spring-jumps/settings/")
    meet.refresh_from_db()
    assert meet.rule_changes == {"rounds": "4", "points": "9 8 7 6 5 4 3 2 1"}


def test_a_rule_set_back_to_the_set_is_no_change_any_more(desk_client, meet):
    meet.rule_changes = {"rounds": "4"}
    meet.save()
    desk_client.post(MEET_RULES, written(meet, rounds="6"))
    meet.refresh_from_db()
    assert meet.rule_changes == {}


def test_all_that_is_wrong_is_said_at_once_and_nothing_is_stored(desk_client, meet):
    answer = desk_client.post(MEET_RULES, written(meet, cuts="three", flight_size="-2", protest_minutes="ten"))
    assert answer.status_code == 422
    assert dict(answer.context["form"].errors) == {
        "cuts": ["“three” cannot be; expected: after round: how many, for example 3:8."],
        "flight_size": ["“-2” cannot be; expected: 0 or more."],
        "protest_minutes": ["“ten” cannot be; expected: min, for example 30."],
    }
    meet.refresh_from_db()
    assert meet.rule_changes == {}


def test_rules_that_contradict_one_another_are_refused(desk_client, meet):
    answer = desk_client.post(MEET_RULES, written(meet, rounds="2"))
    assert answer.context["form"].errors["cuts"] == [
        "“3” cannot be; expected: a round after the last cut, before the end."
    ]


def test_an_events_rules_start_from_the_meets(desk_client, event):
    event.meet.rule_changes = {"rounds": "4"}
    event.meet.save()
    answer = desk_client.post(f"/desk/spring-jumps/{event.pk}/settings/rules/", written(event, flight_size="8"))
    event.refresh_from_db()
    assert (answer.status_code, event.rule_changes) == (302, {"flight_size": "8"})
    lines = {line.name: line for _title, group in rule_groups(event) for line in group}
    assert (lines["rounds"].before, lines["flight_size"].value, lines["flight_size"].changed) == ("4", "8", True)


def test_after_the_first_trial_the_page_is_only_read(desk_client, event):
    LogRowFactory(event=event, kind="jumped", values={})
    answer = desk_client.post(MEET_RULES, written(event.meet, rounds="4"))
    event.meet.refresh_from_db()
    assert (answer.status_code, event.meet.rule_changes) == (422, {})
    assert "Somebody has jumped." in answer.content.decode()
