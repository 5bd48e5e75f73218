"""Lines of a file against a meet: who, where, how old, which string, which board."""

from datetime import UTC, date, datetime

import pytest

from athletes.models import School
from athletes.reading.table import Unreadable
from meets.entries.actions import import_entries
from meets.entries.checking import check_table
from meets.entries.outcome import NewSchool, Verdict, Weight
from meets.models import Event
from tests.factories import AthleteFactory, EntryFactory, LogRowFactory, PastMarkFactory
from tests.meets.entries.conftest import NOW, table_from

HEADINGS = "School code,School,First name,Surname,Date of birth,Sex,Event,String,Best,Board"
LINE = {
    "code": "MAR",
    "school": "Marrowdale Academy",
    "first": "Orla",
    "last": "Elmsall",
    "born": "07/12/2012",
    "sex": "F",
    "event": "U15 Girls Long Jump",
    "string": "",
    "best": "4.75",
    "board": "",
}


def line(**changes):
    return ",".join((LINE | changes).values())


def file(*lines, headings=HEADINGS):
    return "\n".join([headings, *lines]) + "\n"


def outcome(checked, number=2):
    found = next(line for line in checked.lines if line.number == number)
    return found.verdict, [f"{reason.column}: {reason.says}" for reason in found.reasons]


@pytest.mark.parametrize("name", ["district_entries.csv", "district_entries.xlsx"])
def test_the_clean_files_are_accepted_whole(check, name):
    checked = check(name)
    counts = checked.counts()
    assert counts[Verdict.ACCEPTED] + counts[Verdict.ADVICE] == len(checked.lines) == 180
    advised = [line for line in checked.lines if line.reasons]
    assert {reason.column for line in advised for reason in line.reasons} == {"Board"}
    assert all(line.event.endswith("Triple Jump") for line in advised)
    assert len(advised) == 9


def test_csv_and_workbook_ask_for_the_same_entries(check):
    of_csv, of_workbook = (
        [line.wanted for line in check(name).lines] for name in ("district_entries.csv", "district_entries.xlsx")
    )
    assert of_csv == of_workbook


@pytest.mark.parametrize(
    ("changes", "verdict", "says"),
    [
        ({}, Verdict.ACCEPTED, []),
        ({"code": "", "school": "marrowdale academy"}, Verdict.ACCEPTED, []),
        (
            {"code": "MRA", "school": ""},
            Verdict.REFUSED,
            ['School code: "MRA" is no school code here; Marrowdale Academy is MAR.'],
        ),
        (
            {"code": "XYZ", "school": "Far Away School"},
            Verdict.REFUSED,
            ['School code: "XYZ" is no school code here. Add the school first, or correct the code.'],
        ),
        (
            {"code": "", "school": "Marrowdal Academy"},
            Verdict.REFUSED,
            ['School: no school here is called "Marrowdal Academy"; perhaps Marrowdale Academy (MAR).'],
        ),
        (
            {"school": "Thornby Vale School"},
            Verdict.REFUSED,
            [
                'School code: the code MAR is Marrowdale Academy, but the line says "Thornby Vale School", '
                "which is THO. Correct one of them."
            ],
        ),
        (
            {"school": "The Dale"},
            Verdict.ADVICE,
            ['School: "The Dale" is known here as Marrowdale Academy (MAR).'],
        ),
        ({"code": "", "school": ""}, Verdict.REFUSED, ["School code: the school is missing."]),
        ({"event": "Girls under 15 LJ"}, Verdict.ACCEPTED, []),
        ({"event": "U15 Long Jump"}, Verdict.ACCEPTED, []),
        (
            {"event": "Girls Long Jump"},
            Verdict.ADVICE,
            ['Event: "Girls Long Jump" is taken as U15 Girls Long Jump, by the date of birth.'],
        ),
        (
            {"event": "Girls Long Jump", "born": ""},
            Verdict.REFUSED,
            [
                "Date of birth: the date of birth is missing; without it the age group cannot be checked.",
                'Event: "Girls Long Jump" may be several events: U13 Girls Long Jump, U15 Girls Long Jump, '
                "U17 Girls Long Jump. Say which.",
            ],
        ),
        ({"event": "100 m"}, Verdict.REFUSED, ['Event: this meet holds no "100 m".']),
        (
            {"event": "U15 Girls Long Jump final"},
            Verdict.REFUSED,
            [
                'Event: this meet holds no "U15 Girls Long Jump final"; nearest are: U15 Girls Long Jump, '
                "U13 Girls Long Jump, U15 Girls Triple Jump."
            ],
        ),
        ({"event": ""}, Verdict.REFUSED, ["Event: the event is missing."]),
        (
            {"event": "U17 Girls Long Jump"},
            Verdict.ADVICE,
            ["Date of birth: 13 years old on 31 August 2026, younger than U17 (from 15). Competes in an older group."],
        ),
        (
            {"event": "U17 Girls Long Jump", "born": "07/12/2015"},
            Verdict.ASKED,
            ["Date of birth: 10 years old on 31 August 2026, younger than U17 (from 15). Is the year of birth right?"],
        ),
        (
            {"born": "07/12/12"},
            Verdict.ADVICE,
            ["Date of birth: the year has two figures; read as 7 December 2012."],
        ),
        ({"sex": ""}, Verdict.REFUSED, ["Sex: girl or boy is not said; expected F or M."]),
        ({"first": "Orla2"}, Verdict.REFUSED, ['First name: "Orla2" is no name; expected letters.']),
        ({"last": "E" * 61}, Verdict.REFUSED, ["Surname: the name has more than 60 letters; shorten it."]),
        ({"string": "first"}, Verdict.REFUSED, ['String: "first" is no string; expected A, B or an empty cell.']),
        (
            {"best": "9.60"},
            Verdict.ASKED,
            ['Best: "9.60" is farther than anybody has jumped. Entered without a seed mark if you agree.'],
        ),
        (
            {"board": "white"},
            Verdict.ASKED,
            [
                'Board: "white" is no board; expected metres from the sand, for example 9. '
                "Entered without a board if you agree."
            ],
        ),
        (
            {"event": "U15 Girls Triple Jump", "best": "10.00", "board": "8"},
            Verdict.ASKED,
            [
                "Board: this event has no board at 8 m; its boards are 7 m, 9 m, 11 m, 13 m. "
                "Entered without a board if you agree."
            ],
        ),
        (
            {"event": "U15 Girls Triple Jump", "best": "", "board": "7"},
            Verdict.ADVICE,
            [
                "Best: no best: entered without a seed mark.",
                "Board: reach from the 7 m board is not known: watch a practice jump, start from the shortest.",
            ],
        ),
        (
            {"event": "U15 Girls Triple Jump", "best": "11.50", "board": "7"},
            Verdict.ADVICE,
            [
                "Board: from the 7 m board the step of a jump of 11.50 may land in the sand (by the seed mark alone). "
                "Suitable: 9 m."
            ],
        ),
    ],
)
def test_a_line(check, changes, verdict, says):
    assert outcome(check(file(line(**changes)))) == (verdict, says)


def test_all_reasons_of_a_line_are_given(check):
    verdict, says = outcome(check(file(line(last="", born="31/02/2011", sex="M", best="5.4"))))
    assert verdict is Verdict.REFUSED
    assert says == [
        "Surname: the name is missing.",
        'Date of birth: "31/02/2011" is no date; expected day/month/year.',
        'Best: "5.4" is no distance; expected two decimals, for example 5.40. '
        "Entered without a seed mark if you agree.",
        "Sex: U15 Girls Long Jump is for girls, and this line says boy.",
    ]


def test_an_unknown_school_with_a_name_of_its_own_is_offered(check):
    checked = check(file(line(code="xyz", school="Far Away School"), line(code="BRX", school="Brackenford School")))
    assert checked.new_schools == (NewSchool("XYZ", "Far Away School"),)


def test_an_unknown_school_without_a_code_is_offered_under_one_made_of_its_name(check):
    names = ("Far Away School", "far away school", "Farr Away School", "Faringford High", "Marrowdale Academie")
    checked = check(file(*(line(code="", school=name) for name in names)))
    assert checked.new_schools == (
        NewSchool("FAR", "Far Away School"),
        NewSchool("FAR2", "Farr Away School", like="Far Away School"),
        NewSchool("FAR3", "Faringford High"),
    )


def test_unknown_columns_are_named_and_a_column_may_be_missing(check):
    text = "School code,First name,Surname,DOB,Gender,Event,Shoe size\nMAR,Orla,Elmsall,07/12/2012,F,U15 Girls LJ,38\n"
    checked = check(text)
    assert checked.notices == ("Columns that are not read: Shoe size.",)
    assert outcome(checked) == (Verdict.ADVICE, ["Best: no best: entered without a seed mark."])


def test_the_age_group_may_have_its_own_column(check):
    text = (
        "School code,First name,Surname,DOB,Gender,Age group,Event,PB\n"
        "MAR,Orla,Elmsall,07/12/2012,F,U15,Long jump,4.75\nMAR,Bea,Rusk,07/12/2012,F,Under 15,TJ,9.75\n"
    )
    checked = check(text)
    assert [(line.verdict, line.event) for line in checked.lines] == [
        (Verdict.ACCEPTED, "U15 Girls Long Jump"),
        (Verdict.ACCEPTED, "U15 Girls Triple Jump"),
    ]


def test_missing_columns_refuse_the_file(check):
    with pytest.raises(Unreadable):
        check("School code,First name,Surname\nMAR,Orla,Elmsall\n")


def test_everything_else_of_a_line_is_read(check):
    text = file(
        line() + ",+1.4,12/05/2026,yes,t 46,Year 9,OR-la",
        headings=HEADINGS + ",Wind of best,Date of best,Guest,Impairment class,School year,How to say the name",
    )
    wanted = check(text).lines[0].wanted
    assert (
        wanted.seed_wind_tenths,
        wanted.seed_date,
        wanted.guest,
        wanted.klass,
        wanted.school_year,
        wanted.say_it,
    ) == (
        14,
        date(2026, 5, 12),
        True,
        "T46",
        "Year 9",
        "OR-la",
    )


def test_guests_have_no_string_and_no_limit(check):
    checked = check(
        file(
            line(string="A"),
            line(first="Bea", string="B"),
            line(first="Cara", string="G"),
            line(first="Dora", string="guest"),
        )
    )
    assert [(line.verdict, line.wanted.string, line.wanted.guest) for line in checked.lines] == [
        (Verdict.ACCEPTED, "A", False),
        (Verdict.ACCEPTED, "B", False),
        (Verdict.ACCEPTED, "", True),
        (Verdict.ACCEPTED, "", True),
    ]


def test_entries_without_a_string_count_for_the_limit(check):
    checked = check(file(line(), line(first="Bea", string="A"), line(first="Cara"), line(first="Dora", string="B")))
    assert [outcome(checked, number) for number in (4, 5)] == [
        (
            Verdict.REFUSED,
            ["String: the school has its 2 scoring entries in this event already (a rule under Settings)."],
        ),
        (
            Verdict.REFUSED,
            ["String: the school has its 2 scoring entries in this event already (a rule under Settings)."],
        ),
    ]


def test_a_meet_may_set_other_limits(meet, check):
    meet.rule_changes = {"entries_per_school": "3", "events_per_athlete": "1", "older_group_allowed": "no"}
    meet.save()
    checked = check(
        file(
            line(string="C"),
            line(event="U15 Girls Triple Jump", best="9.75"),
            line(first="Bea", event="U17 Girls Long Jump"),
        )
    )
    assert [outcome(checked, number) for number in (2, 3, 4)] == [
        (Verdict.ACCEPTED, []),
        (
            Verdict.REFUSED,
            [
                "Event: an event too many: the limit is 1 for an athlete, who is entered in U15 Girls "
                "Long Jump already.",
            ],
        ),
        (Verdict.REFUSED, ["Date of birth: 13 years old on 31 August 2026, younger than U17 (from 15)."]),
    ]


def test_what_is_stored_counts_like_lines_before(meet, check):
    text = file(line(string="A"), line(event="U15 Girls Triple Jump", best="9.75", string="A"))
    import_entries(meet=meet, checked=check(text), by="organiser", now=NOW)
    checked = check(
        file(
            line(first="ORLA", best="4.80"),
            line(first="Bea", string="A"),
            line(event="U17 Girls Long Jump"),
            line(first="Orla", born="08/12/2012"),
            line(sex="M", event="U15 Boys Long Jump"),
        )
    )
    assert [outcome(checked, number) for number in range(2, 7)] == [
        (
            Verdict.REPEAT,
            [
                ": Orla Elmsall is entered in U15 Girls Long Jump already. "
                "The best here is 4.80, there 4.75, which stays.",
            ],
        ),
        (Verdict.REFUSED, ["String: string A of this school in this event is taken by an entry stored before."]),
        (
            Verdict.REFUSED,
            [
                "Date of birth: 13 years old on 31 August 2026, younger than U17 (from 15). "
                "Competes in an older group.",
                "Event: an event too many: the limit is 2 for an athlete, who is entered in U15 Girls Long Jump, "
                "U15 Girls Triple Jump already.",
                "Event: two age groups of one discipline: the athlete is entered in U15 Girls Long Jump.",
            ],
        ),
        (
            Verdict.ASKED,
            [
                "Date of birth: probably the same athlete as Orla Elmsall, who is known already with a date of birth "
                "that is near. Entered as another athlete if you agree.",
            ],
        ),
        (
            Verdict.REFUSED,
            [
                "Sex: the same athlete stands with the other sex in an entry or list stored before. "
                "Correct one of them.",
                "Event: an event too many: the limit is 2 for an athlete, who is entered in U15 Girls Long Jump, "
                "U15 Girls Triple Jump already.",
            ],
        ),
    ]


@pytest.mark.parametrize(
    ("born", "asked"),
    [
        ("08/12/2012", True),
        ("07/12/2013", True),
        ("12/07/2012", True),
        ("07/11/2012", True),
        ("01/01/2013", True),
        ("20/03/2013", False),
    ],
)
def test_a_near_birth_date_under_one_name_is_asked_about(check, born, asked):
    checked = check(file(line(), line(born=born, event="U15 Girls Triple Jump", best="9.75")))
    assert (outcome(checked, 3)[0] is Verdict.ASKED) is asked


def test_a_name_from_the_pit_without_a_date_is_asked_about(check):
    AthleteFactory(school=School.objects.get(code="MAR"), first_name="Orla", last_name="Elmsall", born=None)
    verdict, reasons = outcome(check(file(line())), 2)
    assert verdict is Verdict.ASKED
    assert any("who was named at a pit without a date of birth" in says for says in reasons)


def test_names_that_changed_places_are_asked_about(check):
    checked = check(file(line(), line(first="Elmsall", last="Orla", event="U15 Girls Triple Jump", best="9.75")))
    assert outcome(checked, 3)[0] is Verdict.ASKED


def test_the_same_name_at_another_school_is_another_athlete_and_mentioned(meet, check):
    checked = check(file(line(), line(code="THO", school="", first="ORLA")))
    says = "School code: MAR has entered somebody of the same name and date of birth. Is it the same athlete?"
    assert [outcome(checked, number) for number in (2, 3)] == [
        (Verdict.ACCEPTED, []), (Verdict.ADVICE, [says]),
    ]  # fmt: skip
    import_entries(meet=meet, checked=checked, chosen_lines=[2], by="organiser", now=NOW)
    assert outcome(check(file(line(code="THO", school="")))) == (Verdict.ADVICE, [says])


# Common practice of spreadsheets: a file has one order, that of the country whose computer wrote it.
@pytest.mark.parametrize(
    ("dates", "asked"),
    [
        (("07/12/2012", "12/31/2012"), True),  # nothing but the month-first line is sure
        (("07.12.2012", "12/31/2012"), True),
        (("07/12/2012", "12/31/2012", "31/12/2012"), False),  # the file is day-first, with a slip
        (("07/12/2012", "31/02/2012"), False),
        (("07/12/2012", "13/13/2012"), False),
        (("07/12/2012", "10/12/2012"), False),
        (("2012-12-07", "12/31/2012"), False),
        (("7 Dec 2012", "12/31/2012"), False),
        (("12/12/2012", "12/31/2012"), False),
        (("07/12/2012", "12/12/2012", "12/31/2012"), True),
    ],
)
def test_a_date_that_may_have_its_month_first_is_asked_about(check, dates, asked):
    names = ("Orla", "Ida", "Bea")
    checked = check(file(*(line(first=name, born=born) for name, born in zip(names, dates, strict=False))))
    number = next((n for n, born in enumerate(dates, 2) if born == "12/31/2012"), None)
    says = (
        f"Date of birth: line {number} can only have its day and month the other way round, so this may be "
        "12 July 2012. Taken as 7 December 2012 if you agree."
    )
    assert outcome(checked) == ((Verdict.ASKED, [says]) if asked else (Verdict.ACCEPTED, []))


def test_a_doubted_date_is_stored_as_it_is_read_once_agreed(meet, check):
    checked = check(file(line(), line(first="Ida", born="12/31/2012")))
    done = import_entries(meet=meet, checked=checked, accept_warnings=True, by="organiser", now=NOW)
    assert [entry.athlete.born for entry in done.entries] == [date(2012, 12, 7)]
    assert done.lines == (2,)


@pytest.mark.parametrize(
    ("best", "guess"),
    [
        ("13-06.50", "In feet and inches that would be 4.12 m. "),
        ("13' 6 1/2", "In feet and inches that would be 4.12 m. "),
        ("13ft 6", "In feet and inches that would be 4.11 m. "),
        ("4'12", ""),
        ("far", ""),
    ],
)
def test_a_best_in_feet_is_asked_about_with_what_it_would_be(check, best, guess):
    says = f'Best: "{best}" is no distance; expected metres with two decimals, for example 5.43. {guess}'
    assert outcome(check(file(line(best=best)))) == (
        Verdict.ASKED, [f"{says}Entered without a seed mark if you agree."],
    )  # fmt: skip


def test_spellings_of_one_name_are_one_athlete(check):
    checked = check(
        file(
            line(first="Anwen", last="O'Farrell"),
            line(first="ANWEN", last="O’FARRELL", event="U15 Girls Triple Jump", best="9.75"),
            line(first="anwen", last="o’farrell"),
        )
    )
    assert [line.verdict for line in checked.lines] == [Verdict.ACCEPTED, Verdict.ACCEPTED, Verdict.REPEAT]
    assert checked.lines[1].wanted.last_name == "O'Farrell"


def test_reach_goes_by_the_poorest_recent_mark_when_there_are_some(meet, check):
    school = School.objects.get(code="MAR")
    athlete = AthleteFactory(school=school, first_name="Orla", last_name="Elmsall", born=date(2011, 12, 7))
    for mark_cm in (1010, 1030, 1050):
        PastMarkFactory(athlete=athlete, discipline="TJ", mark_cm=mark_cm, jumped_on=date(2026, 5, 8))
    PastMarkFactory(athlete=athlete, discipline="TJ", mark_cm=700, jumped_on=date(2024, 5, 8))
    text = file(line(born="07/12/2011", event="U15 Girls Triple Jump", best="10.50", board="9"))
    assert outcome(check(text)) == (Verdict.ACCEPTED, [])
    PastMarkFactory(athlete=athlete, discipline="TJ", mark_cm=980, jumped_on=date(2026, 5, 9))
    assert outcome(check(text)) == (
        Verdict.ADVICE,
        [
            "Board: the 9 m board is far for a jump of 9.80 (by the poorest recent mark; 1.00 m into the sand is "
            "wanted). Suitable: 7 m."
        ],
    )


def test_a_withdrawn_entry_frees_its_string_and_is_restored_not_repeated(meet, check):
    event = Event.objects.get(meet=meet, name="U15 Girls Long Jump")
    athlete = AthleteFactory(
        school=School.objects.get(code="MAR"), first_name="Orla", last_name="Elmsall", born=date(2012, 12, 7)
    )
    EntryFactory(event=event, athlete=athlete, string="A", status="withdrawn")
    checked = check(file(line(string="A"), line(first="Bea", string="B")))
    assert outcome(checked) == (
        Verdict.REFUSED,
        [": Orla Elmsall was withdrawn from this event; restore that entry instead."],
    )
    assert outcome(check(file(line(first="Bea", string="A")))) == (Verdict.ACCEPTED, [])


def test_a_drawn_event_is_named(meet, check):
    LogRowFactory(event=Event.objects.get(meet=meet, name="U15 Girls Long Jump"))
    assert check(file(line())).notices == ("Drawn already, to be drawn again after storing: U15 Girls Long Jump.",)


def test_ages_of_a_group_of_the_meets_own_are_not_checked_and_that_is_said(meet, check):
    Event.objects.filter(meet=meet, name="U15 Girls Long Jump").update(age_group="Minis")
    checked = check(file(line(born="01/01/1990")))
    assert outcome(checked) == (Verdict.ACCEPTED, [])
    assert checked.notices == ("Ages are not checked for Minis: the meet's age scheme has no such group.",)


def test_the_meets_own_age_date_decides(meet, check):
    text = file(line(born="31/08/2011"))
    assert outcome(check(text))[0] is Verdict.REFUSED
    meet.age_date = date(2026, 6, 30)
    meet.save()
    assert outcome(check(text)) == (Verdict.ACCEPTED, [])


def test_a_school_year_that_disagrees_is_asked_about(meet, check):
    meet.age_scheme = "uk-2026"
    meet.save()
    Event.objects.filter(meet=meet, name="U15 Girls Long Jump").update(age_group="U14", name="U14 Girls Long Jump")
    headings = HEADINGS + ",Year group"
    text = file(line(born="07/12/2012", event="U14 Girls Long Jump") + ",Year 9", headings=headings)
    assert outcome(check(text)) == (
        Verdict.ASKED,
        ["Date of birth: the school year and the date of birth do not agree about U14."],
    )
    for agreeing in ("Year 8", "Y8", "8", "", "2012"):
        text = file(line(born="07/12/2012", event="U14 Girls Long Jump") + f",{agreeing}", headings=headings)
        assert outcome(check(text)) == (Verdict.ACCEPTED, [])


def test_late_is_said_of_the_file(meet):
    meet.entry_deadline = datetime(2026, 6, 19, 18, 0, tzinfo=UTC)
    assert check_table(table_from(file(line())), meet, now=NOW).late is True


def test_a_reason_weighs_as_its_line(check):
    for checked_line in check("entries_messy.csv").lines:
        heaviest = max((reason.weight for reason in checked_line.reasons), default=None)
        if checked_line.verdict in (Verdict.ADVICE, Verdict.ASKED, Verdict.REFUSED):
            assert (
                heaviest
                == {"advice": Weight.ADVICE, "asked": Weight.QUESTION, "refused": Weight.REFUSAL}[checked_line.verdict]
            )


def test_queries_do_not_grow_with_the_file(meet, check, django_assert_num_queries, django_assert_max_num_queries):
    one, many = file(line()), file(*(line(first=name) for name in ("Bea", "Cara", "Dora")))
    with django_assert_max_num_queries(12) as seen:
        check(one)
    with django_assert_num_queries(len(seen.captured_queries)):
        check(many)
    with django_assert_num_queries(len(seen.captured_queries)):
        check("district_entries.csv")


@pytest.mark.parametrize(
    ("cell", "hidden"), [("yes", True), ("Y", True), ("x", True), ("", False), ("no", False), ("0", False)]
)
@pytest.mark.parametrize("heading", ["Name not shown", "name not public", "Do not show name"])
def test_a_line_may_say_that_the_name_is_not_shown(check, heading, cell, hidden):
    checked = check(file(f"{line()},{cell}", headings=f"{HEADINGS},{heading}"))
    assert (checked.notices, checked.lines[0].wanted.not_public) == ((), hidden)


def test_a_wish_that_is_not_understood_refuses_the_line(check):
    checked = check(file(f"{line()},maybe", headings=HEADINGS + ",Name not shown"))
    assert checked.lines[0].verdict is Verdict.REFUSED
    assert checked.lines[0].sentences("entries.csv") == (
        'entries.csv, line 2, column Name not shown: "maybe" is not understood; expected yes or no.',
    )


def test_a_wish_on_a_line_that_is_a_repeat_is_not_lost_silently(check):
    headings = HEADINGS + ",Name not shown"
    said = "That the name is not shown has to be said there too: this line is not stored."
    for first, expected in (("", True), ("yes", False)):
        repeat = check(file(f"{line()},{first}", f"{line()},yes", headings=headings)).lines[1]
        assert (repeat.verdict, said in repeat.reasons[0].says) == (Verdict.REPEAT, expected)
