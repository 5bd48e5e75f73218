"""What everybody sees: who may see it at all, names, marks that are held back, needs, places, what is to come."""

from datetime import date

import pytest

from athletes.models import Athlete
from meets.board.reads import event_board, meet_board
from meets.models import Meet
from meets.running import actions
from meets.running.actions import SECOND
from meets.running.team_points import standings_of
from tests.chance import holds_number
from tests.factories import (
    START,
    EntryFactory,
    EventFactory,
    MeetFactory,
    PublicationFactory,
    RecordBookFactory,
    RecordFactory,
)
from tests.meets.board.conftest import pages_of

HELD_CM, HELD = 777, ("7.77", "777")
BORN = date(2013, 3, 4)


def by_bib(event):
    event.refresh_from_db()
    return {line.person.bib: line for line in event_board(event).lines}


def everything(look, event):
    """All public pages of the event in one text."""
    answers = [look(page) for page in pages_of(event)]
    assert [answer.status_code for answer in answers] == [200] * len(answers)
    return "".join(answer.text for answer in answers)


@pytest.mark.parametrize("shown", [True, False], ids=["public", "not public"])
def test_a_meet_is_seen_only_when_it_is_shown(event, look, shown):
    Meet.objects.update(is_public=shown)
    assert [look(page).status_code for page in pages_of(event)] == [200 if shown else 404] * 4


def test_an_organiser_sees_it_before_it_is_shown(event, look, client, organiser):
    Meet.objects.update(is_public=False)
    client.force_login(organiser)
    assert [look(page).status_code for page in pages_of(event)] == [200] * 4


def test_an_event_of_another_meet_is_not_found(event, look):
    other = EventFactory(meet=MeetFactory(is_public=True))
    assert [look(page).status_code for page in pages_of(other)[1:]] == [404] * 3


@pytest.mark.parametrize(
    ("names", "not_public", "called"),
    [
        ("full", False, "Zofia Hurstlegate"),
        ("initial", False, "Zofia H."),
        ("bib", False, "Thornwick School"),
        ("full", True, "Thornwick School"),
    ],
)
@pytest.mark.parametrize("jumped", [True, False], ids=["in the list", "in the start list"])
def test_names_are_shown_as_meet_and_athlete_have_chosen(three, look, names, not_public, called, jumped):
    Meet.objects.update(public_names=names)
    Athlete.objects.filter(entries__bib="1").update(
        first_name="Zofia", last_name="Hurstlegate", not_public=not_public, born=BORN, say_it="HURST-le-gate"
    )
    three.draw()
    if jumped:
        three.jump("5.01+1.0", "5.02+1.0", "5.03+1.0")
    pages = everything(look, three.event)
    assert f"<strong>{called}</strong>" in pages
    assert ("Hurstlegate" in pages, "HURST-le-gate" in pages) == (called == "Zofia Hurstlegate",) * 2
    assert ("Zofia" in pages) is called.startswith("Zofia")
    assert "2013" not in pages


def under_protest(three):
    up = three.state.callable[0].turn
    actions.record_trial(**three.who, turn=up, trial="7.77", under_protest=True, answered=True)
    return up


def in_dispute(three):
    up = three.state.callable[0].turn
    actions.record_trial(**three.who, turn=up, trial="7.77", wind="+0.7", answered=True)
    second = {**three.who, "recorder": SECOND}
    actions.record_trial(**second, turn=up, trial="7.07", wind="+0.7", answered=True)
    return up


def after_a_cut_under_protest(three):
    up = three.state.callable[0].turn
    actions.record_trial(**three.who, turn=up, trial="5.55", under_protest=True, answered=True)
    three.jump("5.00+0.3", "5.10+0.4")
    actions.confirm_trials(**three.who)
    three.jump("x", "5.00+0.3", "5.10+0.4", "x", "5.00+0.3", "5.10+0.4")
    actions.take_cut(**three.who)
    first = three.state.callable[0].turn
    assert (first.entry, first.round) == (up.entry, 4)
    actions.record_trial(**three.who, turn=first, trial="7.77", wind="+0.7", answered=True)
    return first


@pytest.mark.parametrize("held", [under_protest, in_dispute, after_a_cut_under_protest], ids=lambda made: made.__name__)
def test_a_mark_that_is_held_back_is_nowhere_in_any_public_page(three, look, held):
    turn = held(three.draw())
    bib = next(bib for bib, key in three.keys.items() if key == turn.entry)
    pages = everything(look, three.event)
    assert [words in pages for words in ("7.77", "7.07")] == [False, False]
    assert not holds_number("777", pages.replace("#777", ""))
    line = by_bib(three.event)[bib]
    assert (line.cells[turn.round - 1].text, line.best, line.status) == ("*", "", "")
    why = "being settled by the referee" if held is in_dispute else "under protest"
    assert line.held == why
    assert pages.count(f"* {why}") == 2
    # On the page of the organiser it is there, so that the test would find it.
    assert HELD_CM in {t.trial.mark for entry in three.state.entries for t in entry.turns if t.trial}


def test_places_needs_and_the_drawing_are_without_a_held_mark(three):
    under_protest(three.draw())
    three.jump("5.00+0.3")
    board = event_board(three.event)
    assert [(line.place, line.best) for line in board.lines] == [("1", "5.00"), ("", ""), ("", "")]
    assert board.called[0].needs == (
        "needs any valid mark to be among the best 2 after round 3",
        "5.01 to lead",
    )
    assert [stroke.mark for stroke in dict(board.drawings)["wide"].strokes] == ["5.00"]
    assert [note.split(":")[0] for note in board.notes] == ["A mark is under protest"]


def test_a_mark_is_shown_once_the_protest_is_upheld(three, look):
    under_protest(three.draw())
    actions.decide_protest(**three.who, name=three.state.protests[0].protest, upheld=True, reason="seen by two judges")
    assert "7.77" in everything(look, three.event)


def test_team_points_are_without_a_held_mark(three):
    three.draw().jump("5.00+0.3", "5.10+0.4", "4.90+0.3")
    before = {school.code: school.points for school in meet_board(three.event.meet).schools}
    three.jump("x", "x")
    up = three.state.callable[0].turn
    second = {**three.who, "recorder": SECOND}
    actions.record_trial(**three.who, turn=up, trial="7.77", wind="+0.7", answered=True)
    actions.record_trial(**second, turn=up, trial="7.07", wind="+0.7", answered=True)
    assert {school.code: school.points for school in meet_board(three.event.meet).schools} == before
    assert {school.code: school.points for school in standings_of(three.event.meet).schools} != before


def test_a_correction_of_an_older_trial_is_no_new_trial(three):
    three.draw().jump("5.01+1.4", "5.02+0.5", "4.90+0.5")
    newest = event_board(three.event).last
    first = three.state.entries[0].turns[0].turn
    actions.correct_trial(**three.who, turn=first, trial="5.10", reason="misheard")
    assert event_board(three.event).last == newest


def test_a_new_trial_is_shown(three, look):
    three.draw().jump("5.01+1.4")
    page = f"{three.event.pk}/"
    before = look(page)
    assert ("5.01" in before.text, "5.27" in before.text) == (True, False)
    three.jump("5.27+0.3")
    after = look(page)
    assert ("5.27" in after.text, before["ETag"] == after["ETag"]) == (True, False)


def test_who_is_up_and_what_it_takes(three):
    three.draw().jump("5.10+0.5", "5.02+0.5", "4.90+0.5", "5.05+0.5", "4.70+0.5")
    board = event_board(three.event)
    leader, second, last = board.lines
    assert [line.best for line in board.lines] == ["5.10", "5.02", "4.90"]
    assert [(turn.word, turn.person, turn.round) for turn in board.called] == [
        ("Up now", last.person, 2),
        ("Next", leader.person, 3),
        ("Then", second.person, 3),
    ]
    assert board.called[0].needs == ("needs 5.02 to be among the best 2 after round 3", "5.11 to lead")
    assert [turn.short for turn in board.called] == ["needs 5.02", "", "5.11 to lead"]
    assert board.called[1].needs == ("among the best 2 so far", "leads")
    assert [(line.inside, line.first_outside) for line in board.lines] == [(True, False), (True, False), (False, True)]


def test_a_guest_in_front_needs_nothing_and_the_others_are_told_of_both(three):
    EntryFactory(event=three.event, bib="9", guest=True)
    three.draw().jump_by_bib({"1": "5.00", "2": "4.90", "3": "4.80", "9": "6.02"}, 1)
    actions.confirm_trials(**three.who) if three.state.trials_proposal else None
    needs = {turn.person.bib: turn.needs for turn in event_board(three.event).called}
    words = {bib: [need for need in said if "guests too" in need] for bib, said in needs.items()}
    # Equal with the guest, and a further mark, which the guest has not.
    assert words == {bib: ["6.02 is ahead of everybody, guests too"] if bib != "9" else [] for bib in words}


def test_a_record_in_sight_is_said(three):
    book = RecordBookFactory(level="district", name="Vennaside district")
    book.meets.add(three.event.meet)
    about = {"discipline": "LJ", "category": three.event.category, "age_group": three.event.age_group}
    RecordFactory(book=book, mark=520, **about)
    three.draw().jump("5.10+0.5", "4.50+0.5", "4.00+0.5")
    needs = {turn.best: turn.needs for turn in event_board(three.event).called}
    assert [[need for need in needs[best] if "in sight" in need] for best in ("5.10", "4.50", "4.00")] == [
        ["district record 5.20 in sight"],
        [],
        [],
    ]


def test_before_the_event_there_is_the_start_list_in_its_order(three):
    before = event_board(three.event)
    assert [(flight.number, len(flight.people)) for flight in before.flights] == [(0, 3)]
    three.draw()
    drawn = event_board(three.event)
    order = [three.state.entry(key).line.bib for key in three.state.flights[0]]
    assert [(f.number, [person.bib for person in f.people]) for f in drawn.flights] == [(1, order)]
    assert (drawn.begun, drawn.status.word, drawn.status.more) == (False, "not begun", "starts at 11:00")


def test_nobody_is_called_up_before_somebody_is_at_the_pit(three):
    actions.draw(**three.who, seed=7)
    drawn = event_board(three.event)
    actions.check_in(**three.who, here=list(three.keys.values()))
    here = event_board(three.event)
    assert ([turn.word for turn in drawn.called], here.called[0].word) == ([], "Up now")
    assert (drawn.pace_ms, here.pace_ms) == (5000, 1200)


def test_a_browser_asks_seldom_where_nothing_happens(three):
    paces = [event_board(three.event).pace_ms]
    three.draw().jump("5.01+1.0")
    paces.append(event_board(three.event).pace_ms)
    actions.suspend(**three.who, reason="lightning")
    paces.append(meet_board(three.event.meet).pace_ms)
    actions.resume(**three.who)
    actions.close(**three.who, reason="heavy rain")
    paces.append(event_board(three.event).pace_ms)
    PublicationFactory(event=three.event, meet=three.event.meet)
    paces.append(meet_board(three.event.meet).pace_ms)
    assert paces == [15000, 1200, 1200, 5000, 15000]


def test_a_voided_trial_and_the_one_that_was_replaced_are_not_shown(three, look):
    three.draw().jump("5.77+1.0")
    up = next(turn.turn for entry in three.state.entries for turn in entry.turns)
    actions.give_replacement(**three.who, turn=up, reason="raked too soon")
    assert "5.77" not in everything(look, three.event)


def test_the_last_trial_is_shown_with_its_wind_and_one_that_was_voided_is_passed_over(three):
    three.draw().jump("5.01+1.0", "5.20+2.1")
    last = event_board(three.event).last
    assert (last.cell.text, last.cell.wind, last.cell.windy, last.round) == ("5.20", "+2.1", True, 1)
    turn = next(t.turn for e in three.state.entries for t in e.turns if t.trial.mark == 520)
    actions.void_trial(**three.who, turn=turn, reason="wrong bib called")
    assert event_board(three.event).last.cell.text == "5.01"


def test_a_wind_is_owed_until_it_is_read(three):
    three.draw().jump("5.01")
    assert [line.best_wind for line in event_board(three.event).lines][:1] == ["wind?"]


def test_a_disqualified_athlete_is_listed_without_trials(three, look):
    three.draw().jump("5.33+1.0", "5.01+1.0")
    out = next(e.line.entry for e in three.state.entries if e.best == 533)
    actions.disqualify(**three.who, entry=out, reason="entered in the wrong age group")
    pages = everything(look, three.event)
    assert ("5.33" in pages, "wrong age group" in pages, ">DQ<" in pages) == (False, False, True)


@pytest.mark.parametrize(
    ("status", "word", "more"),
    [
        ("provisional", "provisional", "protests until 11:30"),
        ("official", "official", "version 1, 11:00"),
        ("amended", "amended", "version 1, 11:00"),
    ],
)
def test_what_is_published_is_said_with_its_link(three, look, status, word, more):
    three.draw().jump("5.01+1.0", "4.90+1.0", "4.80+1.0")
    actions.close(**three.who, reason="heavy rain")
    until = START.replace(minute=30) if status == "provisional" else None
    PublicationFactory(
        event=three.event, meet=three.event.meet, status=status, at=START, protests_until=until, version=1
    )
    page = look(f"{three.event.pk}/").text
    assert f'<span class="status {status}">{word}</span> <span class="small">{more}</span>' in page
    assert f'href="/results/day/{three.event.pk}/"' in page


def test_an_event_whose_turns_are_over_calls_nobody(three):
    three.draw().jump("5.01+1.0")
    actions.close(**three.who, reason="heavy rain")
    assert event_board(three.event).called == ()


@pytest.mark.parametrize("page", ["", "{}/", "{}/screen/", "{}/announcer/"])
def test_an_empty_meet_and_an_empty_event_say_so(event, look, page):
    assert look(page.format(event.pk)).status_code == 200


def test_an_organiser_who_announces_sees_full_names_and_how_to_say_them(three, look, client, organiser):
    Athlete.objects.filter(entries__bib="1").update(last_name="Hurstlegate", say_it="HURST-le-gate", not_public=True)
    page = f"{three.event.pk}/announcer/"
    everybody = look(page)
    client.force_login(organiser)
    own = look(page)
    client.logout()
    again = look(page)
    assert ["HURST-le-gate" in answer.text for answer in (everybody, own, again)] == [False, True, False]
    assert [answer["Cache-Control"].split(",")[0] for answer in (everybody, own, again)] == [
        "public",
        "private",
        "public",
    ]
    # The board itself is the same for all.
    client.force_login(organiser)
    assert "Hurstlegate" not in look(f"{three.event.pk}/").text


def in_classes(three, cuts="3:8"):
    """Bib 1 of no class leads all; 2 and 3 are of class T20, 3 with the longer jump."""
    three.event.entries.exclude(bib="1").update(klass="T20")
    three.event.rule_changes = {"cuts": cuts}
    three.event.save()
    return three.draw().jump_by_bib({"1": "5.30", "2": "4.10", "3": "4.20"}, 1)


@pytest.fixture
def classes(three):
    return in_classes(three)


def test_places_of_a_class_stand_below_its_name(classes, look):
    assert [(line.klass, line.place, line.person.bib) for line in event_board(classes.event).lines] == [
        ("", "1", "1"), ("T20", "1", "3"), ("T20", "2", "2"),
    ]  # fmt: skip
    for page in pages_of(classes.event)[1:]:
        text = look(page).text
        assert text.count("Class T20") == 1, page
        above, below = text.split("Class T20")
        assert ("5.30" in above, "4.20" in below, "4.10" in below) == (True, True, True)


def test_the_lead_is_that_of_the_class(classes):
    needs = {turn.person.bib: turn.needs for turn in event_board(classes.event).called}
    assert {bib: said[-1] for bib, said in needs.items()} == {
        "1": "leads", "2": "4.20 to lead class T20", "3": "leads class T20",
    }  # fmt: skip


def test_a_leader_of_a_class_is_said_to_be_one(classes, look):
    assert "1st, class" not in look().text
    classes.event.entries.update(klass="T20")
    assert "1st, class T20</span> <strong" in look().text


def test_the_line_of_the_cut_is_drawn_in_each_class(three):
    in_classes(three, cuts="3:1")
    three.event.entries.filter(bib="2").update(klass="T11")
    three.jump_by_bib({"1": "_ 5.31", "2": "_ 4.11", "3": "_ 4.21"}, 1)
    lines = event_board(three.event).lines
    assert [(line.klass, line.inside, line.first_outside) for line in lines] == [
        ("", True, False), ("T11", False, True), ("T20", False, True),
    ]  # fmt: skip


def test_a_head_wind_is_written_with_a_minus_sign(three, look):
    three.draw()
    up = three.state.callable[0].turn
    actions.record_trial(**three.who, turn=up, trial="5.01", wind="-0.7", answered=True)
    pages = everything(look, three.event)
    assert ("−0.7" in pages, "-0.7" in pages) == (True, False)
