"""A sheet from the first typing into the log, through the pages of the desk."""

import pytest
from django.urls import reverse

from meets.models import TypedSheet
from meets.running import actions
from meets.running.actions import PIT
from meets.running.reads import state_of
from scoring.state import Stage
from tests.chance import holds_number
from tests.factories import EntryFactory, EventFactory, TypedSheetFactory
from tests.meets.grid.conftest import DESK_BY, NOW, Desk


def test_lines_stand_in_the_order_of_the_start_list(desk):
    page = desk.get("event", desk.event.pk).context["layout"]
    bibs = {str(entry.pk): entry.bib for entry in desk.event.entries.all()}
    assert [line.bib for line in page.blocks[0].lines] == [
        *(bibs[key] for key in state_of(desk.event).flights[0]), "", "", "",
    ]  # fmt: skip
    assert [(block.first, block.rounds) for block in page.blocks] == [(1, (1, 2, 3)), (4, (4, 5, 6))]


def test_a_guest_is_named_as_a_guest(desk):
    desk.event.entries.filter(bib="7").update(guest=True)
    page = desk.get("event", desk.event.pk).context["layout"]
    assert {line.bib: line.who.endswith(" guest") for line in page.blocks[0].lines if line.given} == {
        "7": True, "9": False, "12": False,
    }  # fmt: skip


def test_an_old_start_list_version_is_fine(desk):
    actions.draw(event_id=desk.event.pk, seed=4, **DESK_BY)
    old = desk.get("event", desk.event.pk, version=1).context["layout"]
    new = desk.get("event", desk.event.pk).context["layout"]
    assert (old.version, new.version) == (1, 2)
    assert [line.bib for line in old.blocks[0].lines] != [line.bib for line in new.blocks[0].lines]
    sheet = desk.typed_once(version=1)
    assert sheet.draw_version == 1


def test_a_flight_is_typed_by_itself(desk_client):
    event = EventFactory(discipline="LJ", rule_changes={"flight_size": "2"})
    for bib in ("1", "2", "3", "4"):
        EntryFactory(event=event, bib=bib)
    actions.draw(event_id=event.pk, seed=3, **DESK_BY)
    desk = Desk(desk_client, event)
    both = desk.get("event", event.pk).context["layout"]
    second = desk.get("event", event.pk, flight=2).context["layout"]
    given = [[line.bib for line in page.blocks[0].lines if line.given] for page in (both, second)]
    assert given[1] == given[0][2:]


def test_a_first_typing_is_kept_and_nothing_is_in_the_log(desk):
    sheet = desk.typed_once()
    assert (sheet.typed_by, sheet.checked_by) == ("A. Keane", "")
    assert sheet.cells["first"]["boxes"]["7"]["2"][0] == "4.98"
    assert sheet.cells["first"]["boxes"]["9"]["2"] == ["x", ""]
    assert desk.get("sheet", sheet.pk).context["page"].stage == "once"
    assert list(desk.event.log.values_list("kind", flat=True)) == ["drawn"]


def test_what_cannot_be_read_comes_back_as_typed_and_nothing_is_kept(desk):
    box = desk.box_of("7", 1)
    page = desk.post("event", desk.event.pk, **desk.fields(**{box.trial: "51"}))
    assert page.status_code == 422
    assert page.context["layout"].wrong == ("'51' is no distance; expected metres with two decimals, for example 5.43",)
    assert 'value="51"' in page.content.decode()
    assert not TypedSheet.objects.exists()


def test_an_empty_sheet_is_not_kept(desk):
    page = desk.post("event", desk.event.pk, typed_by="A. Keane")
    assert (page.status_code, page.context["layout"].wrong) == (422, ("Nothing is typed yet.",))


def test_the_second_typing_is_blind(desk):
    sheet = desk.typed_once()
    html = desk.get("again", sheet.pk).content.decode()
    assert "5.12" not in html
    assert not holds_number("512", html)


def test_two_equal_typings_go_into_the_log_by_both_names(desk):
    sheet = desk.typed_twice()
    page = desk.get("sheet", sheet.pk).context["page"]
    assert (page.stage, page.same_person, page.preview.refused, page.preview.departs) == ("agreed", False, (), False)
    answer = desk.post("store", sheet.pk, version=page.preview.version)
    assert (answer.status_code, answer.url) == (302, reverse("desk:event", args=[desk.event.meet.slug, desk.event.pk]))
    state = state_of(desk.event)
    assert (state.stage, state.alarms) == (Stage.FINISHED, ())
    rows = desk.event.log.filter(rev__gt=1).values_list("by", "recorder")
    assert set(rows) == {("A. Keane and B. Lodder", "paper sheet")}
    assert desk.get("sheet", sheet.pk).context["page"].stage == "stored"


def test_a_stored_sheet_is_not_stored_again_nor_thrown_away(desk):
    sheet = desk.typed_twice()
    version = desk.get("sheet", sheet.pk).context["page"].preview.version
    desk.post("store", sheet.pk, version=version)
    for name in ("store", "discard", "settle"):
        page = desk.post(name, sheet.pk, version=version)
        assert (page.status_code, "in the log already" in page.context["refusal"]) == (422, True)
    assert TypedSheet.objects.count() == 1


def test_typed_twice_by_one_person_is_said_and_stands_in_the_log(desk):
    sheet = desk.typed_twice()
    desk.post("again", sheet.pk, **desk.fields(typed_by="a. keane"))
    page = desk.get("sheet", sheet.pk).context["page"]
    assert page.same_person
    desk.post("store", sheet.pk, version=page.preview.version)
    assert desk.event.log.last().by == "A. Keane, typed twice"


def test_typings_that_differ_are_settled_by_the_paper(desk):
    trial, wind = desk.box_of("7", 1).trial, desk.box_of("9", 1).wind
    sheet = desk.typed_twice(**{trial: "521", wind: "-1"})
    page = desk.get("sheet", sheet.pk).context["page"]
    marks = {one.name: (one.first, one.second) for one in page.differences}
    assert (set(marks), marks["t|7|1"], marks["w|9|1"][1]) == ({"t|7|1", "w|9|1"}, ("5.12", "5.21"), "-0.1")
    assert desk.post("store", sheet.pk, version=1).status_code == 422
    unsettled = desk.post("settle", sheet.pk, **{"pick t|7|1": "second"})
    assert "say what is on the paper" in unsettled.context["refusal"]
    desk.post("settle", sheet.pk, **{"pick t|7|1": "second", "paper w|9|1": "-2"})
    sheet.refresh_from_db()
    assert sheet.cells["agreed"]["boxes"]["7"]["1"][0] == "5.21"
    assert sheet.cells["agreed"]["boxes"]["9"]["1"] == ["4.80", "-0.2"]


def test_a_question_is_ticked_before_the_sheet_is_stored(desk):
    trial = desk.box_of("7", 1).trial
    sheet = desk.typed_once(**{trial: "412"})
    desk.post("again", sheet.pk, **desk.fields(typed_by="B. Lodder", **{trial: "412"}))
    preview = desk.get("sheet", sheet.pk).context["page"].preview
    [line] = [line for line in preview.lines if line.questions]
    assert (line.person.bib, [box.asked for box in line.boxes[:2]]) == ("7", [True, False])
    assert line.questions[0].sentence == "5.12 or 4.12? Bib 7 usually jumps about 5.05."
    assert desk.post("store", sheet.pk, version=preview.version).status_code == 422
    assert not desk.event.log.filter(kind="jumped").exists()
    answer = desk.post("store", sheet.pk, version=preview.version, ticked=[line.questions[0].key])
    assert answer.status_code == 302


def test_a_box_that_both_read_wrongly_is_changed(desk):
    sheet = desk.typed_twice()
    page = desk.get("change", sheet.pk).context
    assert page["layout"].blocks[0].lines[0].boxes[0].typed in ("5.12", "4.80", "4.44")
    box = desk.box_of("7", 1).trial
    assert desk.post("change", sheet.pk, **desk.fields(**{box: "515"})).status_code == 302
    sheet.refresh_from_db()
    assert sheet.cells["agreed"]["boxes"]["7"]["1"][0] == "5.15"
    assert sheet.cells["first"]["boxes"]["7"]["1"][0] == "5.12"


def test_what_the_sheet_decides_otherwise_needs_the_reason(desk):
    lines = {"bib_4_2": "12"}
    sheet = desk.typed_once(**lines)
    desk.post("again", sheet.pk, **desk.fields(typed_by="B. Lodder", **lines))
    preview = desk.get("sheet", sheet.pk).context["page"].preview
    assert preview.departs
    ticked = [question.key for line in preview.lines for question in line.questions]
    page = desk.post("store", sheet.pk, version=preview.version, ticked=ticked)
    assert page.status_code == 422
    assert "write why" in page.context["refusal"]
    asked = {"version": preview.version, "ticked": ticked, "reason": "7 was called away"}
    assert desk.post("store", sheet.pk, **asked).status_code == 302
    assert desk.event.log.get(kind="cut_taken").reason == "7 was called away"


def test_what_the_pit_recorded_otherwise_is_shown_before(desk):
    turn = state_of(desk.event).callable[0].turn
    bib = state_of(desk.event).entry(turn.entry).line.bib
    actions.record_trial(
        event_id=desk.event.pk,
        turn=turn,
        trial="4.01",
        wind="+0.1",
        answered=True,
        by="R. Corder",
        recorder=PIT,
        now=NOW,
    )
    sheet = desk.typed_twice()
    preview = desk.get("sheet", sheet.pk).context["page"].preview
    [(person, one)] = preview.differences
    assert (person.bib, one.round, one.recorded) == (bib, 1, "4.01 +0.1")
    ticked = [question.key for line in preview.lines for question in line.questions]
    desk.post("store", sheet.pk, version=preview.version, ticked=ticked, reason="as on the paper")
    assert state_of(desk.event).disputes == (turn,)


def test_a_typing_is_thrown_away(desk):
    sheet = desk.typed_once()
    assert desk.post("discard", sheet.pk).status_code == 302
    assert not TypedSheet.objects.exists()


def test_sheets_of_another_meet_are_not_found(desk):
    other = TypedSheetFactory()
    assert desk.get("sheet", other.pk).status_code == 404


@pytest.mark.parametrize("rows", [1, 3])
def test_the_list_of_events_asks_as_much_for_one_as_for_three(desk_client, rows, django_assert_num_queries):
    event = EventFactory(age_group="U15", category="girls", discipline="LJ")
    for group in ("U13", "U17")[: rows - 1]:
        TypedSheetFactory(event=EventFactory(meet=event.meet, age_group=group, category="girls", discipline="LJ"))
    TypedSheetFactory(event=event)
    with django_assert_num_queries(5):
        page = desk_client.get(reverse("grid:list", args=[event.meet.slug]))
    assert len(page.context["table"].rows) == rows


def test_a_field_that_was_never_drawn_is_in_the_order_of_its_sheet(desk_client):
    event = EventFactory(discipline="LJ", rule_changes={"cuts": "3:2"})
    EntryFactory(event=event, bib="7", seed_mark=None)
    nameless = EntryFactory(event=event, bib="", seed_mark=None)
    desk = Desk(desk_client, event)
    page = desk.get("event", event.pk).context["layout"]
    assert (page.version, [line.given for line in page.blocks[0].lines]) == (0, [False, False])
    fields = {"bib_1_1": f"#{nameless.pk}", "t_1_1_1": "433", "bib_1_2": "7", "t_1_2_1": "x", "no_gauge": "1"}
    desk.post("event", event.pk, typed_by="A. Keane", **fields)
    sheet = TypedSheet.objects.get()
    desk.post("again", sheet.pk, typed_by="B. Lodder", **fields)
    desk.post("store", sheet.pk, version=0)
    assert state_of(event).flights == ((str(nameless.pk), str(event.entries.get(bib="7").pk)),)
    for name in ("event", "draw", "log"):
        assert desk_client.get(reverse(f"desk:{name}", args=[event.meet.slug, event.pk])).status_code == 200


def test_a_box_that_somebody_else_changed_since_is_not_overwritten(desk):
    sheet = desk.typed_twice()
    seen = desk.seen("change", sheet.pk)
    seven, nine = desk.box_of("7", 1).trial, desk.box_of("9", 1).trial
    assert desk.post("change", sheet.pk, **desk.fields(**{seven: "515"})).status_code == 302
    page = desk.post("change", sheet.pk, **desk.fields(**{nine: "484"}), seen=seen)
    assert (page.status_code, page.context["overtaken"]) == (422, ["Bib 7, round 1: 5.15 stands there now."])
    sheet.refresh_from_db()
    assert [sheet.cells["agreed"]["boxes"][bib]["1"][0] for bib in ("7", "9")] == ["5.15", "4.80"]
    shown = {box.trial: box.typed for line in page.context["layout"].blocks[0].lines for box in line.boxes}
    assert (shown[seven], shown[nine]) == ("5.15", "4.84")
    again = desk.fields(**{seven: "515", nine: "484"})
    assert desk.post("change", sheet.pk, **again, seen=page.context["seen"]).status_code == 302
    sheet.refresh_from_db()
    assert [sheet.cells["agreed"]["boxes"][bib]["1"][0] for bib in ("7", "9")] == ["5.15", "4.84"]


def test_two_who_change_the_same_box_hear_of_each_other(desk):
    sheet = desk.typed_twice()
    seen, seven = desk.seen("change", sheet.pk), desk.box_of("7", 1).trial
    desk.post("change", sheet.pk, **desk.fields(**{seven: "515"}))
    page = desk.post("change", sheet.pk, **desk.fields(**{seven: "511"}), seen=seen)
    assert page.context["overtaken"] == ["Bib 7, round 1: 5.15 stands there now, and you typed 5.11."]
    sheet.refresh_from_db()
    assert sheet.cells["agreed"]["boxes"]["7"]["1"][0] == "5.15"
    assert f'name="{seven}" value="5.11"' in page.content.decode()


@pytest.mark.parametrize("name", ["store", "discard", "again"])
def test_a_sheet_that_was_changed_since_is_not_stored_thrown_away_nor_typed_over(desk, name):
    sheet = desk.typed_twice()
    page = desk.get("sheet", sheet.pk).context["page"]
    desk.post("change", sheet.pk, **desk.fields(**{desk.box_of("7", 1).trial: "515"}))
    fields = desk.fields() if name == "again" else {"version": page.preview.version}
    answer = desk.post(name, sheet.pk, **{**fields, "seen": page.seen})
    assert answer.status_code == 422
    assert "in the meantime" in answer.content.decode()
    sheet.refresh_from_db()
    assert sheet.cells["agreed"]["boxes"]["7"]["1"][0] == "5.15"
    assert not desk.event.log.filter(kind="jumped").exists()


def test_a_second_typing_is_not_lost_to_another_second_typing(desk):
    sheet = desk.typed_once()
    seen = desk.seen("again", sheet.pk)
    desk.post("again", sheet.pk, **desk.fields(typed_by="B. Lodder"), seen=seen)
    page = desk.post("again", sheet.pk, **desk.fields(typed_by="C. Orme"), seen=seen)
    assert page.status_code == 422
    sheet.refresh_from_db()
    assert (sheet.checked_by, 'value="512"' in page.content.decode()) == ("B. Lodder", True)


def test_differences_are_settled_once(desk):
    sheet = desk.typed_twice(**{desk.box_of("7", 1).trial: "521"})
    seen = desk.seen("settle", sheet.pk)
    assert desk.post("settle", sheet.pk, **{"pick t|7|1": "second"}, seen=seen).status_code == 302
    page = desk.post("settle", sheet.pk, **{"pick t|7|1": "first"}, seen=seen)
    assert (page.status_code, "in the meantime" in page.context["refusal"]) == (422, True)
    sheet.refresh_from_db()
    assert sheet.cells["agreed"]["boxes"]["7"]["1"][0] == "5.21"


def test_boxes_of_a_sheet_that_went_into_the_log_in_the_meantime_are_not_changed(desk):
    sheet = desk.typed_twice()
    seen = desk.seen("change", sheet.pk)
    desk.post("store", sheet.pk, version=desk.get("sheet", sheet.pk).context["page"].preview.version)
    page = desk.post("change", sheet.pk, **desk.fields(), seen=seen)
    assert (page.status_code, "in the log already" in page.context["refusal"]) == (422, True)


@pytest.mark.parametrize("seen", ["", "nonsense", "[]", "{", '{"t|7|1": 5}', "null", "\0"])
def test_a_form_that_does_not_say_what_was_seen_changes_nothing(desk, seen):
    sheet = desk.typed_twice()
    page = desk.post("change", sheet.pk, **desk.fields(**{desk.box_of("7", 1).trial: "515"}), seen=seen)
    assert page.status_code == 422
    sheet.refresh_from_db()
    assert sheet.cells["agreed"]["boxes"]["7"]["1"][0] == "5.12"
