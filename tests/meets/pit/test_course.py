"""Ending early, joining and moving flights, abandoning: by the referee, at the pit or on their own phone."""

import pytest
from django.test import Client
from django.urls import reverse

from meets.pit.keys.access import COOKIE
from meets.pit.keys.tokens import token_of
from meets.running import actions
from scoring.state import Stage
from tests.factories import DeviceFactory, EventFactory, PitFactory, PitKeyFactory, PitSessionFactory
from tests.meets.pit.conftest import DESK_BY, PIT_BY, AtPit, play

REFEREE = "Mr Referton"


def change(pit, do, /, **answers):
    said = {"referee": REFEREE, "reason": "buses at half past three"} | answers
    return pit.send("course", pit.event.pk, do=do, **said)


def forms_of(page):
    return {name: form for name, _change, form in page.context["changes"]}


def flighted(pit):
    """Nine athletes in flights of five at most."""
    pit.event.rule_changes = {**pit.event.rule_changes, "flight_size": "5"}
    pit.event.save()
    actions.draw(event_id=pit.event.pk, seed=3, **DESK_BY)
    assert [len(flight) for flight in pit.state.flights] in ([5, 4], [4, 5])
    return pit.state.flights


def test_rounds_that_could_be_the_last_are_offered_and_one_ends_it_for_all(pit):
    play(pit.event, until_round=1)
    page = pit.page("course", pit.event.pk)
    assert dict(forms_of(page)["shorten"].fields["last_round"].choices) == {n: str(n) for n in range(1, 6)}
    assert change(pit, "shorten", last_round=1).status_code == 302
    row = pit.event.log.get(kind="shortened")
    assert (row.by, row.reason, row.values) == (REFEREE, "buses at half past three", {"last_round": 1})
    assert pit.state.callable == ()


@pytest.mark.parametrize(("answers", "field"), [({"reason": " "}, "reason"), ({"referee": ""}, "referee")])
def test_neither_without_a_reason_nor_without_a_name(pit, answers, field):
    play(pit.event, until_round=1)
    page = change(pit, "shorten", last_round=1, **answers)
    assert (page.status_code, list(forms_of(page)["shorten"].errors)) == (422, [field])
    assert not pit.event.log.filter(kind="shortened").exists()


def test_a_round_that_has_begun_meanwhile_is_not_cut_off(pit):
    play(pit.event, until_round=1)
    play(pit.event, until_round=2)
    page = change(pit, "shorten", last_round=1)
    assert page.status_code == 422
    assert not pit.event.log.filter(kind="shortened").exists()


def test_two_flights_are_joined_in_the_order_that_is_typed(pit):
    flights = flighted(pit)
    play(pit.event, until_round=1)
    form = forms_of(pit.page("course", pit.event.pk))["join"]
    shown = form["order"].value()
    assert form.fields["order"].prepare_value(shown).split() == [
        pit.event.entries.get(pk=entry).bib for flight in flights for entry in flight
    ]
    typed = [*flights[1], *flights[0]]
    bibs = " ".join(pit.event.entries.get(pk=entry).bib for entry in typed)
    assert change(pit, "join", round=2, order=bibs).status_code == 302
    assert [turn.turn.entry for turn in pit.state.callable if turn.turn.round == 2] == typed


def test_a_bib_that_nobody_has_is_named_and_what_was_typed_stays(pit):
    flighted(pit)
    page = change(pit, "join", round=2, order="1 2 99")
    assert page.status_code == 422
    assert "99" in str(forms_of(page)["join"].errors["order"])
    assert "1 2 99" in page.content.decode()


def test_nobody_who_still_has_a_turn_is_left_out_of_the_joint_order(pit):
    flights = flighted(pit)
    play(pit.event, until_round=1)
    gone, left_out, *others = (pit.event.entries.get(pk=entry) for flight in flights for entry in flight)
    actions.withdraw(event_id=pit.event.pk, entry=str(gone.pk), **PIT_BY)
    bibs = [entry.bib for entry in others]
    page = change(pit, "join", round=2, order=" ".join(bibs))
    assert page.status_code == 422
    assert f"Bibs left out: {left_out.bib}." in str(forms_of(page)["join"].errors["order"])
    assert change(pit, "join", round=2, order=" ".join([*bibs, left_out.bib])).status_code == 302


def test_a_flight_goes_on_at_another_pit_of_the_meet(pit):
    flighted(pit)
    play(pit.event, until_round=1)
    other = PitFactory(meet=pit.event.meet, name="Far pit")
    PitSessionFactory(pit=other)
    assert change(pit, "move", flight=2, pit="Far pit").status_code == 302
    assert pit.state.moved == ((2, "Far pit"),)


def test_one_pit_and_one_flight_offer_neither_to_move_nor_to_join(pit):
    page = pit.page("course", pit.event.pk)
    assert set(forms_of(page)) == {"shorten", "abandon"}


def test_what_the_rules_make_of_an_event_that_is_broken_off_is_said_before(pit):
    play(pit.event, until_round=2)
    page = pit.page("course", pit.event.pk).context["page"]
    needed = pit.state.rules.abandon_rounds
    counts = "So what was completed counts." if needed <= 2 else "So there would be no result."
    assert page.by_the_rule.startswith("2 rounds are complete.")
    assert page.by_the_rule.endswith(counts)
    assert change(pit, "abandon", rounds_counted="").status_code == 302
    assert pit.state.stage is Stage.ABANDONED
    row = pit.event.log.get(kind="abandoned")
    assert row.values["rounds_counted"] == (2 if needed <= 2 else 0)


def test_the_referee_may_let_fewer_rounds_count(pit):
    play(pit.event, until_round=2)
    assert change(pit, "abandon", rounds_counted="1").status_code == 302
    assert pit.event.log.get(kind="abandoned").values["rounds_counted"] == 1


def test_more_rounds_than_were_completed_cannot_be_made_to_count(pit):
    play(pit.event, until_round=1)
    assert change(pit, "abandon", rounds_counted="3").status_code == 422
    assert not pit.event.log.filter(kind="abandoned").exists()


def test_nothing_is_offered_once_it_is_over(pit):
    actions.abandon(event_id=pit.event.pk, reason="thunder", **PIT_BY)
    page = pit.page("course", pit.event.pk)
    assert page.context["changes"] == []
    assert change(pit, "shorten", last_round=1).status_code == 422


def test_an_event_of_another_session_is_not_found(pit):
    other = EventFactory(meet=pit.event.meet)
    assert pit.page("course", other.pk).status_code == 404


def on_a_phone(session, event, roles):
    client = Client()
    device = DeviceFactory(key=PitKeyFactory(session=session, roles=roles), official="Ms Phone")
    client.cookies[COOKIE] = token_of(device)
    return AtPit(client, session, event)


def test_a_referees_phone_signs_with_the_name_it_came_in_with(pit, session, event):
    play(event, until_round=1)
    phone = on_a_phone(session, event, ["referee"])
    page = phone.page("course", event.pk)
    assert page.status_code == 200
    assert 'name="referee"' not in page.content.decode()
    answers = {"do": "shorten", "last_round": 1, "reason": "dark", "referee": "Somebody Else"}
    answer = phone.send("course", event.pk, **answers)
    # Not to flags and digits, where the next tap would write a trial.
    here = reverse("pit:course", args=[session.pk, event.pk])
    assert (answer.status_code, answer.url) == (302, here)
    assert "No round after that one." in phone.client.get(here).content.decode()
    assert event.log.get(kind="shortened").by == "Ms Phone"


@pytest.mark.parametrize("role", ["recorder", "second", "gauge"])
def test_no_other_phone_is_let_in(pit, session, event, role):
    phone = on_a_phone(session, event, [role])
    assert phone.page("course", event.pk).status_code == 403
    assert phone.send("course", event.pk, do="abandon", reason="why not").status_code == 403


def test_the_page_of_decisions_leads_there(pit):
    address = reverse("pit:course", args=[pit.session.pk, pit.event.pk])
    assert address in pit.page("decide", pit.event.pk).content.decode()


@pytest.mark.parametrize("roles", [["gauge"], ["second"], ["recorder"], ["recorder", "referee"]])
def test_a_phone_that_stops_the_pit_sees_that_it_is_stopped(pit, session, event, roles):
    """And is not led to flags and digits: whoever records does so on the page of the phone."""
    phone = on_a_phone(session, event, roles)
    answer = phone.send("stop", do="stop", reason="a dog in the sand")
    assert answer.url == reverse("pit:stop", args=[session.pk])
    page = phone.client.get(answer.url)
    assert (page.status_code, reverse("pit:phone") in page.text) == (200, True)
