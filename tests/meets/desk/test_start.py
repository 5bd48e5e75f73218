"""Check-in and the draw."""

import pytest

from athletes.models import Discipline
from meets.desk.start.reads import check_in_of
from meets.running import actions
from tests.factories import EntryFactory, EventFactory, PastMarkFactory, SessionPartFactory
from tests.meets.desk.conftest import desk, last_row


def test_here_and_not_here_are_rows_and_the_rest_stays_open(desk_client, organiser, three):
    one, two, _open = three.keys.values()
    answer = desk_client.post(desk(three.event, "check-in/"), {f"here_{one}": "here", f"here_{two}": "not"})
    assert (answer.status_code, answer["Location"]) == (302, desk(three.event))
    assert list(three.event.log.values_list("kind", "values", "by", "recorder")) == [
        ("checked_in", {"entry": one}, organiser.username, "desk"),
        ("did_not_start", {"entry": two}, organiser.username, "desk"),
    ]
    assert check_in_of(three.event).counts == (1, 1, 1)


def test_what_was_ticked_before_makes_no_new_row(desk_client, three):
    one = three.keys["1"]
    for _n in range(2):
        desk_client.post(desk(three.event, "check-in/"), {f"here_{one}": "here"})
    assert three.event.log.count() == 1


def test_who_was_not_here_and_came_is_here(desk_client, three):
    one = three.keys["1"]
    for answer in ("not", "here"):
        desk_client.post(desk(three.event, "check-in/"), {f"here_{one}": answer})
    assert check_in_of(three.event).counts == (1, 0, 2)


def test_a_tick_by_itself_answers_with_the_counts_alone(desk_client, three):
    sent = {f"here_{three.keys['2']}": "here"}
    answer = desk_client.post(desk(three.event, "check-in/"), sent, headers={"HX-Request": "true"})
    assert [template.name for template in answer.templates] == ["desk/_check_in_counts.html"]
    assert answer.context["page"].counts == (1, 0, 2)


def test_athletes_stand_in_the_order_of_their_bibs(three):
    for bib in ("AA", "10"):
        EntryFactory(event=three.event, bib=bib)
    assert [line.person.bib for line in check_in_of(three.event).lines] == ["1", "2", "3", "10", "AA"]


@pytest.mark.parametrize(
    ("board_cm", "marks", "says"),
    [
        (1100, [1120, 1150, 1130], "Board 11 m, known reach 11.20 m: lands only 0.20 m into the sand; "),
        (1300, [1120, 1150, 1130], "Board 13 m, known reach 11.20 m: would land 1.80 m before the sand."),
        (700, [1120, 1150, 1130], "Board 7 m, known reach 11.20 m: the step would land in the sand, at 7.51 m."),
        (900, [1120, 1150, 1130], ""),
        (900, [], "No mark is known: watch a practice jump, and start from the shortest board."),
    ],
)
def test_a_doubt_about_a_board_is_shown_at_check_in_with_its_numbers(meet, board_cm, marks, says):
    event = EventFactory(meet=meet, discipline=Discipline.TRIPLE_JUMP, age_group="U20")
    SessionPartFactory(event=event, session__pit__sand_cm=800)
    entry = EntryFactory(event=event, board_cm=board_cm, seed_mark=None)
    for mark in marks:
        PastMarkFactory(athlete=entry.athlete, discipline=Discipline.TRIPLE_JUMP, mark_cm=mark)
    [line] = check_in_of(event).lines
    assert line.reach[: len(says) or None] == says


def test_a_draw_names_its_seed_and_its_version(desk_client, three):
    for version in (1, 2):
        assert desk_client.post(desk(three.event, "draw/"), {"method": "lot", "seed": "77"}).status_code == 302
        page = desk_client.get(desk(three.event, "draw/")).context["page"]
        assert (page.version, page.seed, page.method) == (version, 77, "by lot")


def test_the_same_seed_draws_the_same_list(desk_client, three):
    flights = []
    for _n in range(2):
        desk_client.post(desk(three.event, "draw/"), {"method": "lot", "seed": "77"})
        flights.append(last_row(three.event).values["flights"])
    assert flights[0] == flights[1]


def test_without_a_seed_one_is_made_and_kept(desk_client, three):
    desk_client.post(desk(three.event, "draw/"), {"method": "seeded", "seed": ""})
    values = last_row(three.event).values
    assert (values["method"], type(values["seed"])) == ("seeded", int)


def test_after_the_first_trial_nothing_is_drawn(desk_client, three):
    three.draw().jump("5.01+1.0")
    answer = desk_client.post(desk(three.event, "draw/"), {"method": "lot", "seed": "1"})
    assert (answer.status_code, three.state.draw_version) == (422, 1)
    assert answer.context["form"].non_field_errors() == [
        "U15 girls long jump has begun: the order can no longer be drawn anew."
    ]


def test_who_is_entered_after_the_draw_is_named(desk_client, three):
    actions.draw(**three.who, seed=1)
    EntryFactory(event=three.event, bib="4")
    page = desk_client.get(desk(three.event, "draw/")).context["page"]
    assert [person.bib for person in page.missing] == ["4"]


@pytest.mark.parametrize("rows", [1, 3])
@pytest.mark.parametrize("page", ["check-in/", "draw/"])
def test_pages_before_the_start_ask_no_more_for_more_athletes(
    desk_client, event, session, django_assert_num_queries, page, rows
):
    for _n in range(rows):
        PastMarkFactory(athlete=EntryFactory(event=event).athlete)
    actions.draw(event_id=event.pk, by="", recorder="desk", now=event.starts_at, seed=1)
    with django_assert_num_queries({"check-in/": 12, "draw/": 11}[page]):
        desk_client.get(desk(event, page))
