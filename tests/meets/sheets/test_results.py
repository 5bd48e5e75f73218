"""The result sheet against the database: an event jumped through the functions that officials use."""

import pytest

from meets.entries.values import wind_words
from meets.running import actions
from meets.running.reads import state_of
from meets.sheets.export import result_csv
from meets.sheets.printing import KINDS, event_sheet
from meets.sheets.reads import known
from meets.sheets.results import result_sheet
from scoring.log import Turn
from scoring.marks import show_mark
from scoring.trials import show_trial
from tests.factories import (
    EntryFactory,
    EventFactory,
    MeetFactory,
    PastMarkFactory,
    RecordBookFactory,
    RecordFactory,
    SchoolFactory,
    StandardFactory,
)
from tests.meets.sheets.conftest import DESK, NOW, PIT
from tests.meets.sheets.reading import pages, words


def record(event, table):
    """Trials from a table of bib -> "5.43+1.4 x -", round by round in the order of the draw."""
    entries = {entry.bib: str(entry.pk) for entry in event.entries.all()}
    trials = {entries[bib]: text.split() for bib, text in table.items()}
    while turns := [turn for turn in state_of(event).turns if len(trials[turn.turn.entry]) >= turn.turn.round]:
        turn = turns[0].turn
        text = trials[turn.entry][turn.round - 1]
        mark, wind = (text[:4], text[4:]) if text[0].isdigit() else (text[:1], text[1:])
        actions.record_trial(event_id=event.pk, turn=turn, trial=mark, wind=wind, answered=True, **PIT)


def small(rules="three-only", discipline="LJ", bibs="1 2 3", **meet):
    event = EventFactory(meet=MeetFactory(rule_set=rules, **meet), discipline=discipline, name="Long jump")
    for bib in bibs.split():
        EntryFactory(event=event, bib=bib, seed_mark=None)
    actions.draw(event_id=event.pk, seed=1, **DESK)
    return event


def lines_of(event):
    return {line.bib: line for line in result_sheet(known(event, NOW)).lines}


def test_every_bib_name_mark_wind_and_place_of_the_state_is_on_one_page(jumped):
    content = event_sheet(KINDS["result"], known(jumped, NOW), NOW)
    assert len(pages(content)) == 1
    text = words(content)
    state = state_of(jumped)
    entries = {str(entry.pk): entry for entry in jumped.entries.select_related("athlete__school")}
    assert len(state.places) == 14
    for placed in state.places:
        entry, own = entries[placed.entry], state.entry(placed.entry)
        place = "G" if placed.guest else "" if placed.place is None else str(placed.place)
        place += "=" if placed.shared_with else ""
        assert f"{place} {entry.bib} {entry.athlete} {entry.athlete.school.name}".strip() in text
        if placed.status != "DQ":
            after = text[text.index(f" {entry.bib} {entry.athlete} ") :]
            position = 0
            for _round, trial in sorted(own.by_round.items()):
                for part in (show_trial(trial), wind_words(trial.wind)):
                    position = after.index(part, position) + len(part)
            assert (show_mark(placed.best) if placed.best else placed.status) in after[position:]


def test_what_stands_around_the_table(jumped):
    text = words(event_sheet(KINDS["result"], known(jumped, NOW), NOW))
    bibs = {str(entry.pk): entry.bib for entry in jumped.entries.all()}
    first, second = (bibs[placed.entry] for placed in state_of(jumped).places if placed.shared_with)
    assert {first, second} == {"22", "23"}
    for part in (
        "Provisional posted at 14:22 · protests to the referee before 14:52",
        "Cut after round 3: 8 went on, and 1 guest",
        f"Bib {first}: Equal with bib {second} in every mark, so they share the place.",
        "Bib 19 disqualified: left the field without leave.",
        "6 trials have no wind information (NWI).",
        "NWI no wind information",
        "w wind over +2.0 m/s",
        "G guest: no place, no points",
        f"as of 14:22, after {state_of(jumped).version} rows of the log · printed 12 June 2027, 14:22",
        "referee take-off judge measurer recorder gauge operator",
    ):
        assert part in text


def test_ties_are_told_once_for_the_one_behind(db):
    event = small()
    record(event, {"1": "5.12+0.1 5.02+0.1 x", "2": "5.12+0.1 4.98+0.1 x", "3": "4.00+0.1 x x"})
    found = result_sheet(known(event, NOW))
    assert found.tie_notes == ("Bib 2: Equal best 5.12 with bib 1; next best 4.98 loses to 5.02.",)
    assert [(line.place, line.bib) for line in found.lines] == [("1", "1"), ("2", "2"), ("3", "3")]


def test_three_who_share_a_place_are_told_in_one_sentence(db):
    event = small()
    record(event, dict.fromkeys("123", "5.12+0.1 x x"))
    found = result_sheet(known(event, NOW))
    assert len(found.tie_notes) == 1
    assert [line.place for line in found.lines] == ["1=", "1=", "1="]
    assert found.lines[0].points == "7"


def test_best_legal_only_where_the_best_was_windy(db):
    event = small()
    record(event, {"1": "5.61+2.1 5.58+1.4 x", "2": "5.50+2.0 5.40+0.1 x", "3": "5.12+3.0 x x"})
    lines = lines_of(event)
    assert [(lines[bib].best, lines[bib].best_wind, lines[bib].legal, lines[bib].legal_wind) for bib in "123"] == [
        ("5.61w", "+2.1", "5.58", "+1.4"),
        ("5.50", "+2.0", "", ""),
        ("5.12w", "+3.0", "none", ""),
    ]


def test_personal_and_seasons_bests_against_marks_from_before(db):
    event = small(bibs="1 2 3 4")
    athletes = {entry.bib: entry.athlete for entry in event.entries.all()}
    PastMarkFactory(athlete=athletes["1"], mark_cm=500)
    for mark, day in ((520, "2026-05-08"), (500, "2027-05-08")):
        PastMarkFactory(athlete=athletes["2"], mark_cm=mark, jumped_on=day)
    PastMarkFactory(athlete=athletes["3"], mark_cm=530, wind_tenths=24)
    PastMarkFactory(athlete=athletes["4"], mark_cm=400, discipline="TJ")
    record(event, dict.fromkeys("1234", "5.10+0.1 x x"))
    assert {bib: line.marks for bib, line in lines_of(event).items()} == {"1": ("PB",), "2": ("SB",), "3": (), "4": ()}


def test_a_seed_is_a_mark_from_before(db):
    event = small(bibs="1 2")
    for bib, mark in (("1", 500), ("2", 520)):
        event.entries.filter(bib=bib).update(seed_mark=mark, seed_date="2026-05-08")
    record(event, {"1": "5.10+0.1 x x", "2": "5.10+0.1 x x"})
    assert {bib: line.marks for bib, line in lines_of(event).items()} == {"1": ("PB",), "2": ()}


def test_qualifiers_have_their_sign(db):
    event = small("qualification")
    event.rule_changes = {"standard": "500", "qualify": "2"}
    event.save()
    record(event, {"1": "5.10+0.1", "2": "4.90+0.1 x x", "3": "4.80+0.1 x x"})
    assert {bib: line.marks for bib, line in lines_of(event).items()} == {"1": ("Q",), "2": ("q",), "3": ()}


def test_in_progress_there_is_no_time_for_protests_and_no_points(db):
    event = small()
    record(event, {"1": "5.12+0.1", "2": "5.00", "3": "x"})
    found = result_sheet(known(event, NOW), NOW)
    assert (found.status, found.posted_at, found.protests_before) == ("In progress", "", "")
    assert {line.points for line in found.lines} == {""}
    text = words(event_sheet(KINDS["result"], known(event, NOW), NOW))
    assert "In progress no result yet: places may change" in text
    assert "posted" not in text
    assert found.wind_note == "Wind still to come: bib 2 round 1."


def test_before_the_first_trial_the_sheet_says_not_begun(event):
    assert "Not begun no result yet" in words(event_sheet(KINDS["result"], known(event, NOW), NOW))


def test_protests_are_taken_for_as_long_as_the_rules_say(db):
    event = small(rule_changes={"protest_minutes": "20"})
    record(event, dict.fromkeys("123", "5.12+0.1 x x"))
    found = result_sheet(known(event, NOW), NOW)
    assert (found.posted_at, found.protests_before) == ("14:22", "14:42")


def test_no_gauge_at_all_is_said_once(db):
    event = small()
    record(event, dict.fromkeys("123", "5.12NWI x x"))
    assert result_sheet(known(event, NOW)).wind_note.startswith("No wind information (NWI) for this event.")


def test_a_shortened_event_says_on_which_rounds_it_was_decided(db):
    event = small("international")
    record(event, dict.fromkeys("123", "5.12+0.1 x"))
    actions.confirm_trials(event_id=event.pk, **DESK)
    actions.shorten(event_id=event.pk, last_round=2, reason="buses leave at half past three", **DESK)
    found = result_sheet(known(event, NOW))
    assert found.rounds == 2
    assert found.remarks == (
        "3 started, not more than 8: everybody takes 6 trials, without a cut.",
        "Shortened by the referee, for all alike: decided on rounds 1 to 2: buses leave at half past three.",
    )


@pytest.mark.parametrize(
    ("counted", "remark"),
    [(1, "Abandoned: decided on rounds 1 to 1: lightning."), (0, "Abandoned: no result, no points: lightning.")],
)
def test_an_abandoned_event_shows_the_broken_round_in_brackets(db, counted, remark):
    event = small()
    record(event, {"1": "5.12+0.1 5.20+0.3", "2": "5.00+0.1", "3": "x+0.1"})
    actions.abandon(event_id=event.pk, rounds_counted=counted, reason="lightning", **DESK)
    found = result_sheet(known(event, NOW))
    assert remark in found.remarks
    first = {line.bib: line for line in found.lines}["1"]
    assert first.series == ((("5.12", "+0.1") if counted else ("(5.12)", "+0.1")), ("(5.20)", "+0.3"))
    assert first.best == ("5.12" if counted else "")
    assert ("( )", "does not count") in found.key


def test_a_mark_under_protest_is_kept_from_the_sheet(db):
    event = small()
    entry = str(event.entries.get(bib="2").pk)
    record(event, {"1": "5.12+0.1", "2": "", "3": ""})
    while state_of(event).callable[0].turn.entry != entry:
        turn = state_of(event).callable[0].turn
        actions.record_trial(event_id=event.pk, turn=turn, trial="x", answered=True, **PIT)
    actions.record_trial(
        event_id=event.pk, turn=Turn(entry, state_of(event).callable[0].turn.round), trial="5.55", wind="+0.1",
        under_protest=True, answered=True, **PIT,
    )  # fmt: skip
    found = result_sheet(known(event, NOW))
    assert "5.55" not in result_csv(found)
    assert "Open protest: bib 2, round 1." in found.remarks


def test_two_records_that_differ_are_named(db):
    event = small()
    record(event, {"1": "5.43+0.1", "2": "5.00+0.1", "3": "x"})
    entry = str(event.entries.get(bib="1").pk)
    second = {**PIT, "recorder": "second recorder"}
    actions.record_trial(event_id=event.pk, turn=Turn(entry, 1), trial="5.34", answered=True, **second)
    remarks = result_sheet(known(event, NOW)).remarks
    assert "Two records differ and are not settled: bib 1 round 1." in remarks


def test_combined_events_points_of_a_long_jump(db):
    event = small("combined-events")
    record(event, {"1": "7.76+0.1 x x", "2": "5.59+0.1 x x", "3": "x x x"})
    assert {bib: line.points for bib, line in lines_of(event).items()} == {"1": "1000", "2": "500", "3": ""}


def test_feet_and_inches(db):
    event = small(unit="quarter-inch")
    for bib, trial in (("1", "16-04.50"), ("2", "15-11.75"), ("3", "x")):
        entry = str(event.entries.get(bib=bib).pk)
        turn = Turn(entry, 1)
        actions.record_trial(event_id=event.pk, turn=turn, trial=trial, wind="+0.1", answered=True, **PIT)
    assert [line.best for line in lines_of(event).values()][:2] == ["16-04.50", "15-11.75"]


def test_the_table_for_spreadsheets_has_a_line_for_each_entry_and_no_live_formula(jumped):
    athlete = jumped.entries.get(bib="18").athlete
    athlete.first_name = "=HYPERLINK(1)"
    athlete.save()
    found = result_sheet(known(jumped, NOW))
    rows = result_csv(found).lstrip("\ufeff").split("\r\n")
    assert rows[0].startswith("Event,Place,Bib,Name,School,String,Year,Best,Wind,Best legal,Wind of best legal,T1,W1,")
    assert len(rows) == 1 + 14 + 1
    by_bib = {row.split(",")[2]: row for row in rows[1:-1]}
    assert by_bib["18"].split(",")[3] == "'=HYPERLINK(1) Brindlow"
    assert ",4.61,NWI,4.61,NWI," in by_bib["21"]
    assert by_bib["12"].split(",")[13] == "-"
    assert ",+" in by_bib["22"]
    assert "'+" not in "".join(rows)


@pytest.mark.parametrize(
    ("changes", "strings", "says"),
    [
        ({"scorers_per_school": "2"}, "AAA", {"3": "number 3 of the school, of which 2 score."}),
        (
            {"scorers_per_school": "1", "over_limit": "are skipped"},
            "AAA",
            {"2": "number 2 of the school, of which 1 scores.", "3": "number 3 of the school, of which 1 scores."},
        ),
        ({"b_table": "yes", "b_points": "5 4 3"}, "ABB", {"3": "the A and the B of the school have scored."}),
        ({"b_table": "yes", "b_points": "5 4 3"}, ["A", "B", ""], {"3": "in neither the A nor the B string."}),
        ({"points": "", "scorers_per_school": "1"}, "AAA", {}),
    ],
)
def test_the_sheet_says_why_one_with_a_place_has_no_points(db, changes, strings, says):
    school = SchoolFactory()
    meet = MeetFactory(rule_set="three-only", rule_changes=changes)
    event = EventFactory(meet=meet, discipline="LJ", name="Long jump")
    for bib, string in zip("123", strings, strict=True):
        EntryFactory(event=event, bib=bib, string=string, athlete__school=school, seed_mark=None)
    actions.draw(event_id=event.pk, seed=1, **DESK)
    record(event, {"1": "5.30+0.0 x x", "2": "5.20+0.0 x x", "3": "5.10+0.0 x x"})
    notes = result_sheet(known(event, NOW)).tie_notes
    assert notes == tuple(f"Bib {bib}: no points: {why}" for bib, why in says.items())


def with_a_record(event, mark):
    book = RecordBookFactory()
    book.meets.add(event.meet)
    RecordFactory(book=book, mark=mark, discipline=event.discipline, category=event.category, age_group=event.age_group)


@pytest.mark.django_db
def test_records_standards_and_bests_that_are_another_mark_stand_beside_it():
    event = small()
    with_a_record(event, 540)
    for name, mark in (("Bronze", 450), ("Gold", 530)):
        StandardFactory(meet=event.meet, name=name, mark=mark)
    PastMarkFactory(athlete=event.entries.get(bib="1").athlete, mark_cm=500)
    record(event, {"1": "5.43+1.4 5.61+2.3 x", "2": "5.41NWI x x", "3": "4.60+0.2 x x"})
    lines = lines_of(event)
    assert {bib: line.marks for bib, line in lines.items()} == {
        "1": ("PB 5.43", "PBw", "Gold", "district record (claim)"), "2": ("Gold NWI",), "3": ("Bronze",),
    }  # fmt: skip
    sheet = result_sheet(known(event, NOW))
    assert sheet.remarks[-3:] == (
        "Bib 1, 5.43: district record (claim).",
        "Bib 1: 5.61w would beat the district record 5.40: wind-assisted.",
        "Bib 2: 5.41 would beat the district record 5.40: no wind information.",
    )
    assert [sign for sign, _meaning in sheet.key if sign.startswith("PB")] == ["PB", "PBw"]
    text = words(event_sheet(KINDS["result"], known(event, NOW), NOW))
    assert "Reached" in text
    for said in ("PB 5.43 · Gold", "Gold NWI", "Bronze"):
        assert said in text


@pytest.mark.django_db
def test_the_start_list_says_which_records_and_standards_there_are():
    event = small()
    with_a_record(event, 540)
    for name, mark in (("Gold", 530), ("Bronze", 450)):
        StandardFactory(meet=event.meet, name=name, mark=mark)
    text = words(event_sheet(KINDS["start-list"], known(event, NOW)))
    assert "Record district record 5.40 +0.6, Edda Hobbeck, Mirefold High, 2019" in text
    assert "Standard Bronze 4.50, Gold 5.30" in text


def test_places_of_an_impairment_class_say_so_in_the_table_for_spreadsheets(db):
    event = small()
    record(event, {"1": "5.12+0.1 x x", "2": "4.10-0.3 x x", "3": "4.20+0.1 x x"})
    assert "Class" not in result_csv(result_sheet(known(event, NOW)))
    event.entries.exclude(bib="1").update(klass="T20")
    lines = result_csv(result_sheet(known(event, NOW))).splitlines()
    assert [line.split(",")[1:4] for line in lines] == [
        ["Class", "Place", "Bib"], ["", "1", "1"], ["T20", "1", "3"], ["T20", "2", "2"],
    ]  # fmt: skip


def test_a_head_wind_has_a_minus_on_paper_and_a_hyphen_for_machines(db):
    event = small()
    record(event, {"1": "5.61+2.1 5.58-0.4 x", "2": "4.10-0.3 - x", "3": "x x x"})
    content = event_sheet(KINDS["result"], known(event, NOW), NOW)
    text, table = words(content), result_csv(result_sheet(known(event, NOW)))
    assert [(f"−{wind}" in text, f"-{wind}" in text) for wind in ("0.3", "0.4")] == [(True, False)] * 2
    assert [(f"−{wind}" in table, f"-{wind}" in table) for wind in ("0.3", "0.4")] == [(False, True)] * 2
    assert "- pass" in text
