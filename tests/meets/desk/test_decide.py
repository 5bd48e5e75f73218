"""Single decisions of officials: each one form, one action, one row with its reason."""

import pytest

from meets.desk.decide.views import DECISIONS
from meets.running import actions
from meets.running.actions import SECOND
from scoring.log import Turn
from scoring.state import Stage
from tests.factories import EntryFactory
from tests.meets.desk.conftest import desk, last_row


@pytest.fixture
def begun(three):
    """Two rounds of three athletes, jumped in the order 1, 2, 3 of the draw."""
    three.draw().jump("5.01+1.0", "5.02+1.1", "5.03+1.2")
    actions.confirm_trials(**three.who)
    return three.jump("5.04+1.3", "x", "5.05+2.4")


@pytest.fixture
def first(begun):
    """The entry that jumped first."""
    return begun.state.flights[0][0]


def decide(desk_client, played, decision, **sent):
    return desk_client.post(desk(played.event, f"decide/{decision}/"), sent)


@pytest.mark.parametrize(
    ("decision", "sent", "kind", "values"),
    [
        ("leave", {"where": "pit 2", "back_at": "10:45"}, "left", {"where": "pit 2", "back_at": "10:45"}),
        ("withdraw", {"reason": "ankle"}, "withdrew", {}),
        ("disqualify", {"reason": "no eligible school"}, "disqualified", {}),
        ("card", {"colour": "yellow", "reason": "crossed the runway"}, "card", {"colour": "yellow"}),
        ("board", {"board_cm": "2.5"}, "board_set", {"board_cm": 250}),
        ("late", {"round": "2", "reason": ""}, "joined", {"round": 2}),
        ("call-in", {"round": "4", "reason": "digits turned"}, "called_in", {"round": 4}),
        ("disregard", {"round": "2", "reason": "wrong admission"}, "disregarded", {"round": 2}),
    ],
)
def test_a_decision_about_an_athlete(desk_client, organiser, begun, first, decision, sent, kind, values):
    answer = decide(desk_client, begun, decision, entry=first, **sent)
    assert (answer.status_code, answer["Location"]) == (302, desk(begun.event))
    row = last_row(begun.event)
    assert (row.kind, row.values, row.by, row.recorder) == (
        kind,
        {"entry": first, **values},
        organiser.username,
        "desk",
    )
    assert row.reason == sent.get("reason", "")


def test_who_is_away_is_called_back(desk_client, begun, first):
    actions.leave(**begun.who, entry=first, where="pit 2")
    offered = desk_client.get(desk(begun.event, "decide/back/")).context["form"].fields["entry"].choices
    assert [key for key, _name in offered] == ["", first]
    decide(desk_client, begun, "back", entry=first)
    assert begun.state.entry(first).away is None


def test_an_athlete_added_at_the_pit_is_confirmed(desk_client, begun):
    entry = EntryFactory(event=begun.event, bib="4", status="pending")
    actions.add_at_pit(entry=entry, flight=1, by="", recorder="pit", now=begun.now)
    assert decide(desk_client, begun, "confirm", entry=entry.pk, reason="school rang").status_code == 302
    entry.refresh_from_db()
    assert (entry.status, begun.state.entry(str(entry.pk)).pending) == ("confirmed", False)


def added_without_a_year(begun):
    entry = EntryFactory(event=begun.event, bib="4", status="pending", athlete__born=None, athlete__school_year="")
    actions.add_at_pit(entry=entry, flight=1, by="", recorder="pit", now=begun.now)
    return entry


def test_the_date_of_birth_of_somebody_named_at_the_pit_is_asked_for(desk_client, begun):
    entry = added_without_a_year(begun)
    page = decide(desk_client, begun, "confirm", entry=entry.pk)
    assert page.status_code == 422
    assert f"The date of birth of {entry.athlete} is not known" in page.text
    entry.refresh_from_db()
    assert entry.status == "pending"
    assert decide(desk_client, begun, "confirm", entry=entry.pk, born="2013-05-04").status_code == 302
    entry.refresh_from_db()
    assert (entry.status, entry.athlete.born.isoformat()) == ("confirmed", "2013-05-04")


def test_without_the_date_a_reason_confirms(desk_client, begun):
    entry = added_without_a_year(begun)
    answer = decide(desk_client, begun, "confirm", entry=entry.pk, reason="the school sends it")
    assert answer.status_code == 302
    entry.refresh_from_db()
    assert (entry.status, entry.athlete.born) == ("confirmed", None)


@pytest.mark.parametrize(
    ("decision", "sent", "kind", "values"),
    [
        ("suspend", {"reason": "lightning", "safety": "on"}, "suspended", {"safety": True}),
        ("shorten", {"last_round": "3", "reason": "buses"}, "shortened", {"last_round": 3}),
        ("abandon", {"rounds_counted": "", "reason": "storm"}, "abandoned", {"rounds_counted": 0}),
        ("abandon", {"rounds_counted": "2", "reason": "storm"}, "abandoned", {"rounds_counted": 2}),
        ("rule", {"field": "trial_seconds", "value": "30", "reason": "time"}, "rule_changed", None),
        ("no-gauge", {"reason": "battery"}, "no_gauge", {}),
        ("gauge-again", {"reason": ""}, "no_gauge", {"until": True}),
        (
            "move-flight",
            {"flight": "1", "pit": "Pit 1", "reason": "board"},
            "flight_moved",
            {"flight": 1, "pit": "Pit 1"},
        ),
        ("close", {"reason": "the last two went home"}, "closed", {}),
    ],
)
def test_a_decision_about_the_event(desk_client, begun, decision, sent, kind, values):
    assert decide(desk_client, begun, decision, **sent).status_code == 302
    row = last_row(begun.event)
    expected = {"field": "trial_seconds", "value": "30"} if values is None else values
    assert (row.kind, row.values, row.reason) == (kind, expected, sent["reason"])


def test_a_rule_is_shown_and_changed_in_the_words_people_use(desk_client, begun):
    groups = desk_client.get(desk(begun.event, "decide/rule/")).context["form"].fields["field"].choices
    said = [words for _title, lines in groups for _name, words in lines]
    assert "How flights are made. Now: by lot." in said
    sent = {"field": "equal_totals", "value": "Most first places, then seconds", "reason": "as invited"}
    assert decide(desk_client, begun, "rule", **sent).status_code == 302
    assert begun.state.rules.equal_totals == "most firsts"


def test_what_the_referee_has_changed_is_shown_as_what_holds_now(desk_client, begun):
    decide(desk_client, begun, "rule", field="trial_seconds", value="30", reason="time")
    groups = desk_client.get(desk(begun.event, "decide/rule/")).context["form"].fields["field"].choices
    [now] = [words for _title, lines in groups for name, words in lines if name == "trial_seconds"]
    assert now.endswith("Now: 30.")


def test_resumed_it_goes_on(desk_client, begun):
    actions.suspend(**begun.who, reason="rain")
    assert begun.state.stage is Stage.SUSPENDED
    decide(desk_client, begun, "resume")
    assert begun.state.stage is Stage.IN_PROGRESS


def test_flights_are_joined_in_the_order_that_is_typed(desk_client, begun):
    decide(desk_client, begun, "merge", round="3", order="3 1, 2", reason="rain")
    keys = begun.keys
    assert last_row(begun.event).values == {"round": 3, "order": [keys["3"], keys["1"], keys["2"]]}


def test_readiness_with_the_measured_board(desk_client, begun):
    decide(desk_client, begun, "readiness", board_cm="2", measured_cm="2.01")
    assert [row.kind for row in begun.event.log.order_by("-rev")[:2]] == ["board_checked", "readiness_signed"]
    assert last_row(begun.event).values == {"board_cm": 200, "measured_cm": 201}


@pytest.mark.parametrize(
    "decision",
    ["disqualify", "card", "suspend", "shorten", "abandon", "correct", "replacement", "void", "move", "alarm"],
)
def test_a_decision_that_needs_its_reason_is_refused_without(desk_client, begun, first, decision):
    version = begun.state.version
    sent = {"entry": first, "round": "1", "replacement": "0", "trial": "5.05", "colour": "red", "last_round": "3"}
    answer = decide(desk_client, begun, decision, **sent)
    assert (answer.status_code, answer.context["form"].errors["reason"]) == (422, ["This field is required."])
    assert begun.state.version == version


def test_a_refusal_is_said_at_the_form(desk_client, begun):
    answer = decide(desk_client, begun, "shorten", last_round="1", reason="buses")
    assert (answer.status_code, answer.context["form"].non_field_errors()) == (
        422,
        ["Round 2 has begun: end after it, or abandon the event."],
    )


def test_a_trial_is_corrected_and_the_old_one_kept(desk_client, begun, first):
    sent = {"entry": first, "round": "1", "replacement": "0", "trial": "5.10", "wind": "-0.4", "board_cm": "2"}
    assert decide(desk_client, begun, "correct", **sent, reason="misheard").status_code == 302
    trial = begun.state.entry(first).by_round[1]
    assert (trial.mark, trial.wind.tenths, trial.board_cm) == (510, -4, 200)
    assert [row.kind for row in begun.event.log.filter(reason="misheard")] == ["jumped", "wind_read"]


def test_a_correction_may_turn_a_mark_into_a_failure_with_its_reason(desk_client, begun, first):
    sent = {"entry": first, "round": "1", "trial": "x", "fail_reason": "line", "wind": "+1.0"}
    decide(desk_client, begun, "correct", **sent, reason="judge reconsidered")
    trial = begun.state.entry(first).by_round[1]
    assert (trial.result, trial.reason, trial.valid_mark) == ("x", "line", None)


def test_a_mark_that_cannot_be_read_is_refused_in_words(desk_client, begun, first):
    answer = decide(desk_client, begun, "correct", entry=first, round="1", trial="5.4", reason="misheard")
    assert answer.context["form"].non_field_errors() == [
        "'5.4' is no distance; expected two decimals, for example 5.40"
    ]


def opened(desk_client, played, turn):
    """The forms of a trial as a person has them open, each with all that its page sends."""
    answer = desk_client.get(desk(played.event, f"trial/{turn.entry}/{turn.round}/{turn.replacement}/"))
    forms = {action.rstrip("/").rpartition("/")[2]: form for form, action, _open in answer.context["forms"]}
    assert answer.content.decode().count('name="seen"') >= len(forms) - 1
    return {
        name: {key: form[key].value() for key in form.fields if form[key].value() not in (None, "", False)}
        for name, form in forms.items()
    }


SECOND_CHANGE = {
    "correct": {"trial": "5.40", "reason": "read again"},
    "wind": {"wind": "+0.3", "reason": "read again"},
    "move": {"reason": "wrong bib"},
    "void": {"reason": "typed twice"},
    "replacement": {"reason": "hampered"},
}


@pytest.mark.parametrize("decision", SECOND_CHANGE)
@pytest.mark.parametrize(
    ("first_decision", "first_change", "stands"),
    [
        ("correct", {"trial": "5.43", "wind": "+1.0"}, "Now stands: 5.43, wind +1.0. olga recorded it last."),
        ("wind", {"wind": "-0.7"}, "Now stands: 5.01, wind −0.7. R. Corder recorded it last."),
        ("void", {}, "Now nothing stands for this turn."),
    ],
)
def test_two_people_open_one_trial_and_the_second_does_not_overwrite_unseen(
    desk_client, organiser, begun, first, decision, first_decision, first_change, stands
):
    turn = Turn(first, 1)
    pages = opened(desk_client, begun, turn)
    others = {"to_entry": begun.state.flights[0][1]} if decision == "move" else {}
    sent = {**pages[first_decision], **first_change, "reason": "misheard"}
    assert decide(desk_client, begun, first_decision, **sent).status_code == 302
    version = begun.state.version

    answer = decide(desk_client, begun, decision, **{**pages[decision], **SECOND_CHANGE[decision], **others})

    says = "Somebody has changed this trial since you opened the page. Nothing of yours is stored. "
    stands = stands.replace("olga", organiser.username)
    assert (answer.status_code, answer.context["form"].non_field_errors()) == (422, [says + stands])
    anew = desk(begun.event, f"trial/{first}/1/0/")
    assert f'<a href="{anew}">Open the form anew</a>' in answer.content.decode()
    assert begun.state.version == version


def test_opened_anew_the_correction_is_stored(desk_client, begun, first):
    for trial in ("5.43", "5.40"):
        sent = {**opened(desk_client, begun, Turn(first, 1))["correct"], "trial": trial, "reason": "misheard"}
        assert decide(desk_client, begun, "correct", **sent).status_code == 302
    assert begun.state.entry(first).by_round[1].mark == 540


@pytest.mark.parametrize(
    ("decision", "chosen", "one", "two", "now"),
    [
        ("rule", {"field": "trial_seconds"}, {"value": "30"}, {"value": "45"}, ": 30."),
        ("shorten", {}, {"last_round": "3"}, {"last_round": "4"}, "Rounds of the event: 3."),
        ("suspend", {"safety": "on"}, {"reason": "lightning"}, {"reason": "rain"}, "Suspended: lightning."),
        ("board", {"entry": "first"}, {"board_cm": "3"}, {"board_cm": "2.5"}, "Board of bib BIB in metres: 3."),
    ],
)
def test_a_decision_on_what_somebody_has_changed_since_is_refused(
    desk_client, begun, first, decision, chosen, one, two, now
):
    form = desk_client.get(desk(begun.event, f"decide/{decision}/")).context["form"]
    chosen = {key: first if value == "first" else value for key, value in chosen.items()}
    sent = {"seen": form["seen"].value(), "reason": "buses", **chosen}
    assert decide(desk_client, begun, decision, **{**sent, **one}).status_code == 302
    answer = decide(desk_client, begun, decision, **{**sent, **two})
    [says] = answer.context["form"].non_field_errors()
    assert answer.status_code == 422
    assert says.startswith("Somebody has changed this since you opened the page. Nothing of yours is stored. ")
    bib = begun.event.entries.get(pk=first).bib
    assert says.endswith(now.replace("BIB", bib))


def test_a_change_elsewhere_does_not_stop_a_decision(desk_client, begun, first):
    board = desk_client.get(desk(begun.event, "decide/board/")).context["form"]["seen"].value()
    actions.set_board(**begun.who, entry=begun.state.flights[0][1], board_cm=300)
    begun.jump("5.21+1.0")
    assert decide(desk_client, begun, "board", entry=first, board_cm="2.5", seen=board).status_code == 302


def test_two_recorders_are_settled_by_one_correction(desk_client, begun, first):
    actions.record_trial(
        **{**begun.who, "recorder": SECOND}, turn=Turn(first, 1), trial="5.10", wind="+1.0", answered=True
    )
    assert begun.state.disputes == (Turn(first, 1),)
    decide(desk_client, begun, "correct", entry=first, round="1", trial="5.10", wind="+1.0", reason="both heard")
    assert (begun.state.disputes, begun.state.entry(first).by_round[1].mark) == ((), 510)


def test_a_replacement_trial_is_called_before_any_other(desk_client, begun, first):
    decide(desk_client, begun, "replacement", entry=first, round="2", reason="raked too soon")
    assert begun.state.callable[0].turn == Turn(first, 2, 1)


def test_a_trial_is_moved_to_the_body_that_jumped(desk_client, begun):
    one, two, _three = begun.state.flights[0]
    begun.jump("5.21+1.0")
    decide(desk_client, begun, "move", entry=one, round="3", to_entry=two, reason="wore the wrong bib")
    assert begun.state.entry(two).by_round[3].mark == 521
    assert begun.state.callable[0].turn == Turn(one, 3)


def test_a_trial_nobody_jumped_is_taken_back(desk_client, begun):
    one = begun.state.flights[0][0]
    begun.jump("5.21+1.0")
    decide(desk_client, begun, "void", entry=one, round="3", reason="typed twice")
    assert begun.state.callable[0].turn == Turn(one, 3)


def test_a_protest_is_taken_and_decided(desk_client, begun, first):
    decide(desk_client, begun, "protest", entry=first, round="2", who="Thornwick", reason="hampered")
    [protest] = begun.state.protests
    assert (protest.entry, protest.round, protest.by, protest.reason) == (first, 2, "Thornwick", "hampered")
    decide(desk_client, begun, "decide-protest", name=protest.protest, upheld="no", reason="not seen")
    assert [(p.upheld, p.decision) for p in begun.state.protests] == [(False, "not seen")]


def test_a_protest_about_a_trial_needs_the_athlete(desk_client, begun):
    answer = decide(desk_client, begun, "protest", entry="", round="2", who="Thornwick", reason="hampered")
    assert answer.context["form"].errors == {"entry": ["A protest about a trial needs the athlete."]}


def test_any_row_can_be_taken_back(desk_client, begun, first):
    actions.withdraw(**begun.who, entry=first)
    row = last_row(begun.event)
    decide(desk_client, begun, "take-back", row=str(row.pk), reason="another athlete")
    assert begun.state.entry(first).finished is False
    assert last_row(begun.event).supersedes == [str(row.pk)]


def test_a_decision_that_does_not_exist_is_not_found(desk_client, begun):
    assert desk_client.get(desk(begun.event, "decide/vote/")).status_code == 404


@pytest.mark.parametrize("decision", sorted(DECISIONS))
def test_every_decision_says_what_it_does(desk_client, begun, first, decision):
    answer = desk_client.get(desk(begun.event, f"decide/{decision}/", entry=first, round=1, replacement=0))
    form = answer.context["form"]
    assert (answer.status_code, bool(form.heading), bool(form.says or decision == "back")) == (200, True, True)


def test_a_trial_shows_what_may_be_done_with_it(desk_client, begun, first):
    answer = desk_client.get(desk(begun.event, f"trial/{first}/1/0/"))
    headings = [str(form.heading) for form, _action, _open in answer.context["forms"]]
    assert headings == [
        "Correct this trial",
        "Wind of this trial",
        "Give a replacement trial",
        "Move the trial to another bib",
        "Take the trial back",
        "Take a protest",
    ]
    shown = answer.context["turn"]
    assert (shown.text, shown.wind, [said.recorder for said in shown.said]) == ("5.01", "+1.0", ["pit"])


def test_a_turn_of_which_nothing_is_known_is_not_found(desk_client, begun, first):
    assert desk_client.get(desk(begun.event, f"trial/{first}/5/0/")).status_code == 404


def test_only_a_valid_mark_owes_its_wind(desk_client, begun):
    one, two, _three = begun.state.flights[0]
    begun.jump("5.21", "x")
    shown = [desk_client.get(desk(begun.event, f"trial/{key}/3/0/")) for key in (one, two)]
    assert [answer.context["turn"].owes_wind for answer in shown] == [True, False]
    assert ["wind owed" in answer.content.decode() for answer in shown] == [True, False]
