import pytest

from meets.models import Pit, PitSession, SessionPart
from meets.running import actions
from tests.factories import EntryFactory, EventFactory, LogRowFactory, PitFactory, PitSessionFactory, SessionPartFactory

PITS = "/desk/spring-jumps/pits/"
PIT = {"name": "Pit 1", "sand_cm": "8,50", "runway_cm": "38", "boards_cm": "11 2 7.5", "gauge": ""}


def parts_of(session):
    return list(session.parts.values_list("event__name", "flight", "block", "position", "further_trials"))


def test_a_pit_is_typed_in_metres_and_kept_in_cm(desk_client, meet):
    assert desk_client.post(f"{PITS}new/", PIT).status_code == 302
    pit = Pit.objects.get()
    assert (pit.meet, pit.sand_cm, pit.runway_cm, pit.boards_cm) == (meet, 850, 3800, [200, 750, 1100])


def test_boards_may_be_typed_in_feet(desk_client, meet):
    desk_client.post(f"{PITS}new/", {**PIT, "boards_cm": "8ft 24' 32ft"})
    assert Pit.objects.get().boards_cm == [244, 732, 975]


@pytest.mark.parametrize(
    ("field", "text", "says"),
    [
        ("sand_cm", "eight", "“eight” is no length: metres are expected, for example 8 or 8.50."),
        ("sand_cm", "2.5", "2.5 is too short: at least 3 m is expected."),
        ("sand_cm", "85", "85 is too long: at most 20 m is expected."),
        ("runway_cm", "3", "3 is too short: at least 5 m is expected."),
    ],
)
def test_a_length_that_cannot_be_is_refused(desk_client, meet, field, text, says):
    answer = desk_client.post(f"{PITS}new/", {**PIT, field: text})
    assert (answer.status_code, answer.context["form"].errors[field]) == (422, [says])


def test_two_pits_of_one_name_are_refused(desk_client, meet):
    PitFactory(meet=meet, name="Pit 1")
    answer = desk_client.post(f"{PITS}new/", PIT)
    assert answer.context["form"].errors["name"] == ["This meet has a pit of that name."]


def test_events_of_one_block_share_a_list(desk_client, meet):
    pit = PitFactory(meet=meet)
    a, b, c = (EventFactory(meet=meet, name=name, position=n) for n, name in enumerate("abc"))
    sent = {"pit": pit.pk, "start": "10:00", "name": "", f"block_{a.pk}_0": "2", f"block_{b.pk}_0": "1"}
    assert desk_client.post("/desk/spring-jumps/sessions/new/", {**sent, f"block_{c.pk}_0": "1"}).status_code == 302
    session = PitSession.objects.get()
    assert session.name == f"{pit.name}, 10:00"
    assert parts_of(session) == [("b", 0, 1, 1, False), ("c", 0, 1, 2, False), ("a", 0, 2, 3, False)]


def test_flights_of_one_event_go_to_two_sessions_and_the_trials_after_the_cut_to_one(desk_client, ten, session):
    ten.event.rule_changes = {"flight_size": "5"}
    ten.event.save()
    actions.draw(**ten.who, seed=1)
    pk, pit = ten.event.pk, PitFactory(meet=ten.event.meet)
    own = {"pit": session.pit_id, "start": "10:00", "name": "Morning", f"block_{pk}_0": "", f"block_{pk}_1": "1"}
    desk_client.post(f"/desk/spring-jumps/sessions/{session.pk}/", own)
    other = {"pit": pit.pk, "start": "10:00", "name": "Other", f"block_{pk}_2": "1", f"further_{pk}_2": "on"}
    desk_client.post("/desk/spring-jumps/sessions/new/", other)
    assert parts_of(session) == [(ten.event.name, 1, 1, 1, False)]
    assert parts_of(PitSession.objects.get(name="Other")) == [(ten.event.name, 2, 1, 1, True)]


def test_an_event_is_not_in_a_session_whole_and_by_flight(desk_client, ten, session):
    ten.event.rule_changes = {"flight_size": "5"}
    ten.event.save()
    actions.draw(**ten.who, seed=1)
    pk = ten.event.pk
    sent = {"pit": session.pit_id, "start": "10:00", "name": "Morning", f"block_{pk}_0": "1", f"block_{pk}_2": "1"}
    answer = desk_client.post(f"/desk/spring-jumps/sessions/{session.pk}/", sent)
    assert answer.context["form"].errors == {
        f"block_{pk}_2": ["All flights of this event are in the session already: give it a block once only."]
    }


def test_what_another_session_has_is_not_offered(desk_client, event, session):
    answer = desk_client.get("/desk/spring-jumps/sessions/new/")
    assert [line.elsewhere for line in answer.context["form"].lines] == ["Morning"]
    assert f"block_{event.pk}_0" not in answer.context["form"].fields


def test_events_in_no_session_get_one_each(desk_client, meet, session):
    event = EventFactory(meet=meet, name="U20 boys triple jump", category="boys", discipline="TJ")
    desk_client.post("/desk/spring-jumps/sessions/each/", {"pit": session.pit_id})
    assert list(SessionPart.objects.filter(event=event).values_list("session__name", "session__pit")) == [
        ("U20 boys triple jump", session.pit_id)
    ]


def test_a_pit_of_another_meet_is_refused(desk_client, meet):
    answer = desk_client.post("/desk/spring-jumps/sessions/each/", {"pit": PitFactory().pk}, follow=True)
    assert [str(message) for message in answer.context["messages"]] == ["Choose one of this meet's pits."]


def test_a_session_can_go_until_somebody_has_jumped(desk_client, event, session):
    address = f"/desk/spring-jumps/sessions/{session.pk}/remove/"
    LogRowFactory(event=event, kind="jumped", values={})
    desk_client.post(address)
    assert PitSession.objects.count() == 1
    other = PitSessionFactory(pit=session.pit)
    desk_client.post(f"/desk/spring-jumps/sessions/{other.pk}/remove/")
    assert PitSession.objects.get() == session


@pytest.mark.parametrize("rows", [1, 3])
def test_pits_and_sessions_ask_no_more_for_more_of_them(desk_client, meet, django_assert_num_queries, rows):
    for _n in range(rows):
        EventFactory(meet=meet)
        part = SessionPartFactory(event__meet=meet)
        EntryFactory(event=part.event)
    with django_assert_num_queries(10):
        answer = desk_client.get(PITS)
    assert (len(answer.context["pits"].rows), len(answer.context["sessions"].rows)) == (rows, rows)
