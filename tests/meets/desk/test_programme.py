from datetime import UTC, datetime

import pytest

from meets.models import Event
from tests.factories import EntryFactory, EventFactory, LogRowFactory, PitSessionFactory, SessionPartFactory

ADD = "/desk/spring-jumps/programme/add/"
PROGRAMME = "/desk/spring-jumps/programme/"


def combination(**changes):
    return {
        "disciplines": ["LJ", "TJ"],
        "categories": ["girls", "boys"],
        "age_groups": ["U13", "U15"],
        "long_jump_boards": "2",
        "triple_jump_boards": "7 9,5  11 m",
        **changes,
    }


def test_every_combination_becomes_an_event_with_its_boards(desk_client, meet):
    desk_client.post(ADD, combination())
    assert list(meet.events.values_list("name", "boards_cm"))[:3] == [
        ("U13 girls long jump", [200]),
        ("U13 boys long jump", [200]),
        ("U13 girls triple jump", [700, 950, 1100]),
    ]
    assert meet.events.count() == 8


def test_what_is_there_already_is_left_and_said(desk_client, event):
    answer = desk_client.post(ADD, combination(disciplines=["LJ"], age_groups=["U15"]), follow=True)
    assert sorted(event.meet.events.values_list("name", flat=True)) == ["U15 boys long jump", "U15 girls long jump"]
    said = [str(message) for message in answer.context["messages"]]
    assert said == ["1 event is added.", "There already: U15 girls long jump."]


def test_a_board_that_is_none_is_refused_with_what_is_expected(desk_client, meet):
    answer = desk_client.post(ADD, combination(triple_jump_boards="7 nine"))
    assert answer.context["form"].errors["triple_jump_boards"] == [
        "“nine” is no board: its distance from the sand in metres is expected, for example 7 9 11 or 9.75."
    ]
    assert meet.events.count() == 0


def test_an_age_group_of_another_scheme_is_refused(desk_client, meet):
    answer = desk_client.post(ADD, combination(age_groups=["U14"]))
    assert (answer.status_code, list(answer.context["form"].errors)) == (422, ["age_groups"])


def test_the_programme_follows_the_starts_on_the_day_of_the_meet(desk_client, meet):
    one, two, three = (EventFactory(meet=meet, starts_at=None, position=n) for n in (1, 2, 3))
    times = {f"start_{one.pk}": "14:00", f"report_{one.pk}": "13:40", f"start_{three.pk}": "10:15"}
    assert desk_client.post(PROGRAMME, times).status_code == 302
    assert list(meet.events.values_list("pk", "position")) == [(three.pk, 1), (one.pk, 2), (two.pk, 3)]
    one.refresh_from_db()
    assert one.starts_at == datetime(2027, 6, 12, 13, 0, tzinfo=UTC)
    assert one.report_at == datetime(2027, 6, 12, 12, 40, tzinfo=UTC)


def test_reporting_after_the_start_is_refused(desk_client, event):
    answer = desk_client.post(PROGRAMME, {f"start_{event.pk}": "10:00", f"report_{event.pk}": "10:20"})
    assert answer.status_code == 422
    assert answer.context["form"].errors == {
        f"report_{event.pk}": ["U15 girls long jump: people are to report at 10:20, after the start at 10:00."]
    }


def test_what_an_event_is_stays_once_somebody_is_entered(desk_client, event):
    EntryFactory(event=event)
    address = f"/desk/spring-jumps/{event.pk}/settings/"
    sent = {"name": "Junior girls", "discipline": "TJ", "category": "boys", "age_group": "U20", "boards_cm": "1 2"}
    assert desk_client.post(address, sent).status_code == 302
    event.refresh_from_db()
    kept = (event.name, event.discipline, event.category, event.age_group, event.boards_cm)
    assert kept == ("Junior girls", "LJ", "girls", "U15", [100, 200])


def test_two_events_of_one_kind_are_refused(desk_client, event):
    other = EventFactory(meet=event.meet, discipline="TJ", category="girls", age_group="U15", name="the other")
    sent = {"name": "the other", "discipline": "LJ", "category": "girls", "age_group": "U15", "boards_cm": ""}
    answer = desk_client.post(f"/desk/spring-jumps/{other.pk}/settings/", sent)
    assert (answer.status_code, answer.context["form"].non_field_errors()) == (
        422,
        ["The meet has an event of this jump, category and age group already."],
    )


def test_two_events_of_one_name_are_refused(desk_client, event):
    other = EventFactory(meet=event.meet, discipline="TJ", category="girls", age_group="U15", name="the other")
    sent = {"name": event.name, "discipline": "TJ", "category": "girls", "age_group": "U15", "boards_cm": ""}
    answer = desk_client.post(f"/desk/spring-jumps/{other.pk}/settings/", sent)
    assert answer.context["form"].errors == {"name": ["Another event of this meet has this name."]}


def test_an_event_without_entries_can_go(desk_client, event):
    desk_client.post(f"/desk/spring-jumps/{event.pk}/remove/")
    assert not Event.objects.exists()


@pytest.mark.parametrize("what", ["entries", "log"])
def test_an_event_with_entries_or_a_log_stays(desk_client, event, what):
    if what == "entries":
        EntryFactory(event=event)
    else:
        LogRowFactory(event=event)
    answer = desk_client.post(f"/desk/spring-jumps/{event.pk}/remove/", follow=True)
    assert Event.objects.get() == event
    said = [str(message) for message in answer.context["messages"]]
    assert said == ["U15 girls long jump has entries or a log and stays."]


@pytest.mark.parametrize("rows", [1, 3])
def test_the_programme_asks_no_more_for_more_events(desk_client, meet, django_assert_num_queries, rows):
    for _n in range(rows):
        EntryFactory(event=EventFactory(meet=meet, age_group="U15"))
    with django_assert_num_queries(5):
        answer = desk_client.get(PROGRAMME)
    assert len(answer.context["table"].rows) == rows


@pytest.mark.parametrize(
    ("of_the_pit", "missing"),
    [
        ([700, 900, 1100], None),
        ([], None),
        ([700, 900], "board at 11 m"),
        ([100, 200, 700], "boards at 9 m and 11 m"),
    ],
    ids=["all there", "the pit names none", "one is not there", "two are not there"],
)
def test_boards_that_the_pit_does_not_have_are_said(desk_client, meet, of_the_pit, missing):
    event = EventFactory(meet=meet, name="U15 girls triple jump", discipline="TJ", boards_cm=[700, 900, 1100])
    session = PitSessionFactory(pit__meet=meet, pit__name="North pit", pit__boards_cm=of_the_pit)
    for flight in (1, 2):
        SessionPartFactory(event=event, session=session, flight=flight)
    doubts = desk_client.get(PROGRAMME).context["doubts"]
    says = f"U15 girls triple jump uses the {missing}. The list of boards of “North pit” has none there."
    assert doubts == ([says] if missing else [])
