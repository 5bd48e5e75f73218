"""The page of an event: series, places with reasons, call order, what needs a person; the log; the drawing."""

from itertools import pairwise

import pytest

from meets.board.drawing import LANE, WIDE
from meets.desk.decide.views import DECISIONS
from meets.desk.event.log_reads import log_lines
from meets.desk.event.reads import decisions_now, event_page
from meets.models import LogRow
from meets.running import actions
from meets.running.actions import SECOND
from scoring.log import Turn
from tests.factories import EntryFactory
from tests.meets.desk.conftest import Played, desk

MARKS = {"1": "5.10 x 5.02", "2": "5.10 4.98 x", "3": "x x x", "4": "5.12 5.00 4.90"}


@pytest.fixture
def played(three):
    """Three rounds: bibs 1 and 2 equal in best, bib 3 without a mark, bib 4 a guest in front."""
    EntryFactory(event=three.event, bib="4", guest=True, board_cm=200)
    return three.draw().jump_by_bib(MARKS, 3)


def line(page, bib):
    return next(line for line in page.lines if line.person.bib == bib)


def test_every_place_has_its_reason_in_words(played):
    page = event_page(played.event)
    assert [(line.person.bib, line.rank, line.why) for line in page.lines] == [
        ("4", "G", ("Best 5.12.", "A guest: listed where the mark belongs, without place or points.")),
        ("1", "1", ("Equal best 5.10 with bib 2; next best 5.02 beats 4.98.",)),
        ("2", "2", ("Equal best 5.10 with bib 1; next best 4.98 loses to 5.02.",)),
        ("3", "", ("No mark yet.",)),
    ]


def test_a_shared_place_carries_an_equals_sign(three):
    three.draw().jump("5.01+1.0", "5.01+1.0", "4.90+1.0")
    assert sorted(line.rank for line in event_page(three.event).lines) == ["1=", "1=", "3"]


def test_the_series_shows_winds_windy_marks_and_the_best(three):
    three.draw().jump("5.01+1.0", "5.20+2.1", "x")
    cells = {line.cells[0].text: line.cells[0] for line in event_page(three.event).lines}
    assert [(c.wind, c.windy, c.best) for c in (cells["5.01"], cells["5.20"])] == [
        ("+1.0", False, True),
        ("+2.1", True, True),
    ]
    assert (cells["x"].wind, cells["x"].best) == ("", False)


def test_a_mark_without_a_wind_says_that_it_is_owed(three):
    three.draw().jump("5.01")
    page = event_page(three.event)
    assert [cell.wind for line in page.lines for cell in line.cells if cell.text] == ["wind?"]
    assert [turn.round for _person, turn in page.owed] == [1]


def test_the_best_legal_mark_stands_beside_a_windy_best(three):
    three.draw().jump("5.20+2.1", "5.00+1.0", "5.00+1.0")
    actions.confirm_trials(**three.who)
    three.jump("5.11+1.9")
    assert event_page(three.event).lines[0].best == "5.20"
    assert event_page(three.event).lines[0].best_legal == "5.11"


def test_a_replaced_trial_stays_in_its_cell_struck_through(three):
    three.draw().jump("5.01+1.0")
    first = three.state.flights[0][0]
    actions.give_replacement(**three.who, turn=Turn(first, 1), reason="hampered")
    three.jump("5.22+0.1")
    [cell] = [line.cells[0] for line in event_page(three.event).lines if line.entry == first]
    assert (cell.text, cell.void, cell.turn) == ("5.22", ("5.01",), Turn(first, 1, 1))


def test_who_is_up_next_then_and_away(three):
    three.draw()
    order = three.state.flights[0]
    page = event_page(three.event)
    assert [turn.person.entry for turn in page.called] == list(order)
    actions.leave(**three.who, entry=order[0], where="pit 2", back_at="10:45")
    page = event_page(three.event)
    assert [turn.person.entry for turn in page.called] == list(order[1:])
    assert [(turn.person.entry, turn.away) for turn in page.away] == [(order[0], "pit 2, 10:45")]


def test_a_disagreement_stands_once_and_leads_to_the_trial(desk_client, three):
    three.draw().jump("5.01+1.0")
    first = three.state.flights[0][0]
    actions.record_trial(
        **{**three.who, "recorder": SECOND}, turn=Turn(first, 1), trial="5.10", wind="+1.0", answered=True
    )
    page = event_page(three.event)
    assert ([turn for _p, turn in page.disputes], page.alarms) == ([Turn(first, 1)], ())
    assert page.step.says == "1 disagreement between the recorders."
    answer = desk_client.get(desk(three.event))
    assert answer.context["step_url"] == desk(three.event, f"trial/{first}/1/0/")


def test_a_correction_that_would_change_the_cut_is_an_alarm_with_bibs(ten):
    marks = {str(n): f"5.{n:02d} x x" for n in range(1, 11)}
    ten.draw().jump_by_bib(marks, 3)
    actions.take_cut(**ten.who)
    key = ten.keys["1"]
    actions.correct_trial(**ten.who, turn=Turn(key, 1), trial="5.50", wind="+0.5", reason="digits turned")
    says = [alarm.says for alarm in event_page(ten.event).alarms]
    assert "After round 3 the cut was taken; by the trials as they stand now it would be: bib 1 in, bib 3 out." in says


@pytest.mark.parametrize(
    ("play", "says", "page"),
    [
        (lambda p: None, "3 entered, not drawn.", "draw/"),
        (lambda p: actions.draw(**p.who, seed=1), "Drawn; 3 of 3 not checked in.", "check-in/"),
        (lambda p: p.draw().jump("5.01+1.0", "5.00+1.0", "x"), "Round 1 is over: how many trials each?", "cut/"),
        (
            lambda p: p.draw().jump_by_bib({"1": "5.01 x x", "2": "5.02 x x", "3": "5.03 x x"}, 3),
            "The order for round 4 is to be called.",
            "cut/",
        ),
        (lambda p: actions.suspend(**p.draw().who, reason="lightning"), "Suspended: lightning.", "decide/resume/"),
        (lambda p: actions.abandon(**p.draw().who, reason="storm"), "Abandoned.", "decide/close/"),
    ],
)
def test_what_is_next_to_do_leads_to_its_page(desk_client, three, play, says, page):
    play(three)
    context = desk_client.get(desk(three.event)).context
    assert (context["page"].step.says, context["step_url"]) == (says, desk(three.event, page))


def test_a_finished_event_asks_for_owed_winds_then_for_the_signature(desk_client, three):
    three.event.rule_changes = {"rounds": "1", "cuts": "", "reorder_before": ""}
    three.event.save()
    three.draw().jump("5.01+1.0", "5.00", "x")
    assert event_page(three.event).step.says == "All trials are taken. 1 wind is owed."
    [(_person, turn)] = event_page(three.event).owed
    actions.record_wind(**three.who, turn=turn, wind="+0.3")
    step = event_page(three.event).step
    assert (step.says, step.page, step.args) == ("All trials are taken.", "desk:decide", ("close",))


def test_a_refresh_gets_nothing_while_nothing_has_changed(desk_client, three):
    three.draw()
    seen = {"seen": event_page(three.event).seen}
    answer = desk_client.get(desk(three.event), seen, headers={"HX-Request": "true"})
    assert (answer.status_code, answer.content) == (204, b"")
    three.jump("5.01+1.0")
    answer = desk_client.get(desk(three.event), seen, headers={"HX-Request": "true"})
    assert (answer.status_code, answer.templates[0].name) == (200, "desk/_event_now.html")


def test_the_log_is_read_line_by_line_the_newest_first(three):
    three.draw().jump("5.01+1.0", "x")
    first, second, _third = three.state.flights[0]
    bibs = {key: bib for bib, key in three.keys.items()}
    says = [row.says for row in log_lines(three.event)]
    assert says[:3] == [
        f"bib {bibs[second]}, round 1: failed",
        f"bib {bibs[first]}, round 1: wind +1.0",
        f"bib {bibs[first]}, round 1: 5.01",
    ]
    listed = ", ".join(bibs[key] for key in three.state.flights[0])
    assert says[-1] == f"start list drawn by lot, seed 7: flight 1: {listed}"


def test_what_no_longer_stands_names_the_row_that_took_its_place(desk_client, three):
    three.draw().jump("5.01+1.0")
    turn = Turn(three.state.flights[0][0], 1)
    actions.correct_trial(**three.who, turn=turn, trial="5.10", wind="+1.0", reason="misheard")
    rows = {row.rev: row for row in log_lines(three.event)}
    old = next(row for row in rows.values() if row.replaced_by)
    new = rows[old.replaced_by[0]]
    assert (old.says[-4:], new.says[-4:], new.reason, new.replaces) == ("5.01", "5.10", "misheard", (old.rev,))
    page = desk_client.get(desk(three.event, "log/")).content.decode()
    assert f"<s>{old.says[0].upper()}{old.says[1:]}</s>" in page


def test_the_page_of_an_athlete_holds_her_own_rows(desk_client, played):
    entry = played.keys["1"]
    answer = desk_client.get(desk(played.event, f"athlete/{entry}/"))
    assert answer.context["line"].person.bib == "1"
    own = LogRow.objects.filter(event=played.event, values__entry=entry).count()
    assert len(answer.context["table"].rows) == own > 0


def test_an_athlete_of_another_event_is_not_found(desk_client, played):
    assert desk_client.get(desk(played.event, f"athlete/{EntryFactory().pk}/")).status_code == 404


def test_the_drawing_is_to_scale_along_the_jump(played):
    drawing = event_page(played.event).drawing
    x = {stroke.mark: stroke.x for stroke in drawing.strokes}
    per_cm = drawing.sand_width / (512 - 200 + 100)
    assert x["5.12"] == drawing.sand_x + round((512 - 200) * per_cm)
    assert {stroke.bib: stroke.first for stroke in drawing.strokes} == {"1": True, "2": False, "4": False}
    assert (drawing.width, [label for _x, label in drawing.boards]) == (WIDE.width, ["2 m"])


def test_labels_in_the_drawing_never_cover_one_another(ten):
    ten.draw().jump_by_bib({str(n): f"5.{n:02d}" for n in range(1, 11)}, 1)
    strokes = event_page(ten.event).drawing.strokes
    lanes = {}
    for stroke in strokes:
        lanes.setdefault(stroke.y, []).append(
            (min(stroke.x, stroke.bib_x), max(stroke.x, stroke.mark_x + len(stroke.mark) * 9))
        )
    assert all(left[1] < right[0] for lane in lanes.values() for left, right in pairwise(lane))
    assert len(strokes) == 10
    assert len({y % LANE for y in lanes}) == 1


def test_where_nobody_knows_the_board_there_is_sand_only_with_the_metres_of_the_marks(event):
    event.boards_cm = []
    event.save()
    EntryFactory(event=event, bib="1", board_cm=None)
    drawing = event_page(Played(event).draw().jump("5.01+1.0").event).drawing
    assert (drawing.boards, drawing.sand_x, [stroke.mark for stroke in drawing.strokes]) == ((), 0, ["5.01"])
    # From a metre before the mark to a metre behind it.
    assert drawing.metres == ((round(99 * WIDE.width / 200), "5 m"), (round(199 * WIDE.width / 200), "6 m"))


def test_before_the_first_mark_there_is_no_drawing(three):
    assert event_page(three.draw().jump("x").event).drawing is None


@pytest.mark.parametrize(
    ("school_year", "born", "words"), [("9", 2013, "year 9"), ("", 2013, "born 2013"), ("Year 10", 2012, "Year 10")]
)
def test_a_year_is_said_with_what_it_means(event, school_year, born, words):
    EntryFactory(event=event, bib="1", athlete__school_year=school_year, athlete__born=f"{born}-03-04")
    assert [line.year for line in event_page(event).lines] == [words]


def test_without_a_pit_the_sand_ends_nowhere(event):
    EntryFactory(event=event, bib="1", board_cm=200)
    played = Played(event).draw().jump("5.01+1.0")
    assert [label for _x, label in event_page(played.event).drawing.boards] == ["2 m"]


@pytest.mark.parametrize("rows", [1, 3])
@pytest.mark.parametrize(("page", "queries"), [("", 12), ("log/", 7), ("cut/", 10), ("winds/", 12)])
def test_pages_of_an_event_ask_no_more_for_more_athletes(
    desk_client, event, session, django_assert_num_queries, page, queries, rows
):
    for n in range(rows):
        EntryFactory(event=event, bib=str(n + 1), board_cm=200)
    Played(event).draw().jump(*["5.01"] * rows)
    with django_assert_num_queries(queries):
        desk_client.get(desk(event, page))


def test_without_a_session_the_next_step_is_to_plan_one(desk_client, event):
    EntryFactory(event=event, bib="1")
    Played(event).draw()
    assert desk_client.get(desk(event)).context["step_url"] == "/desk/spring-jumps/pits/"


def offered(played):
    return [name for group in decisions_now(event_page(played.event)) for name, _words in group.links]


def test_only_decisions_that_make_sense_are_offered(three):
    assert offered(three) == []
    three.draw()
    assert offered(three) == [
        "leave", "board", "withdraw", "card", "disqualify", "readiness", "suspend", "no-gauge",
    ]  # fmt: skip
    three.jump("5.01+1.0")
    going = [
        "leave", "late", "board", "withdraw", "card", "disqualify", "readiness", "suspend", "no-gauge", "rule",
        "protest", "disregard", "shorten", "abandon", "close",
    ]  # fmt: skip
    assert offered(three) == going
    actions.suspend(**three.who, reason="rain")
    assert [name for name in offered(three) if name not in going] == ["resume"]
    actions.close(**three.who, reason="everybody went home")
    assert offered(three) == ["disqualify", "protest", "disregard"]


def test_every_decision_that_is_offered_has_its_form(three):
    three.draw().jump("5.01+1.0")
    assert set(offered(three)) - set(DECISIONS) == set()
