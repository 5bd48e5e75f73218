from datetime import date

import pytest
from django.core.exceptions import ValidationError

from athletes.models import School
from athletes.reading.table import Unreadable
from meets.entries.actions import create_meet
from meets.entries.programme import Programme, programme_of
from meets.models import Meet, PitSession, SessionPart
from scoring.age_schemes import scheme
from scoring.marks import Unit
from tests.factories import MeetFactory, SchoolFactory
from tests.meets.entries.conftest import NOW, table_from, table_of

UK = scheme("uk-before-2026")
HEADINGS = "School code,School,Event\n"


def make(programme, **options):
    return create_meet(
        **{
            "slug": "district",
            "name": "District meet",
            "date": date(2026, 7, 4),
            "age_scheme": "uk-before-2026",
            "rule_set": "international",
            "programme": programme,
            "by": "organiser",
            "now": NOW,
            **options,
        }
    )


def test_the_sample_file_names_ten_events_and_nine_schools():
    programme = programme_of(table_of("district_entries.csv"), UK)
    assert [event.name for event in programme.events] == [
        "U13 Girls Long Jump",
        "U13 Boys Long Jump",
        "U15 Girls Long Jump",
        "U15 Girls Triple Jump",
        "U15 Boys Long Jump",
        "U15 Boys Triple Jump",
        "U17 Girls Long Jump",
        "U17 Girls Triple Jump",
        "U17 Boys Long Jump",
        "U17 Boys Triple Jump",
    ]
    assert programme.schools[0] == ("MAR", "Marrowdale Academy")
    assert len(programme.schools) == 9


def test_spellings_of_one_event_are_one_event_and_total_lines_none():
    text = (
        HEADINGS
        + "MAR,Marrowdale,U15 Girls LJ\nmar,Marrowdale,girls u15 long jump\nTHO,,under 15 girls LJ\n,,Total 3\n"
    )
    programme = programme_of(table_from(text), UK)
    assert [event.name for event in programme.events] == ["U15 Girls LJ"]
    assert programme.schools == (("MAR", "Marrowdale"), ("THO", "THO"))


def test_schools_without_codes_get_some():
    text = "School,Event\nMarrowdale Academy,U15 Girls LJ\nMarrow Hill,U15 Girls LJ\nmarrowdale academy,U15 Girls LJ\n"
    programme = programme_of(table_from(text), UK)
    assert programme.schools == (("MAR", "Marrowdale Academy"), ("MAR2", "Marrow Hill"))


@pytest.mark.parametrize(
    ("event", "says"),
    [
        (
            "Girls Long Jump",
            'entries.csv, line 2, column Event: "Girls Long Jump" is no whole event; expected age group, girls or '
            "boys, and long or triple jump, for example: U15 Girls Long Jump.",
        ),
        (
            "U14 Girls Long Jump",
            'entries.csv, line 2, column Event: "U14 Girls Long Jump": no age group of the scheme uk-before-2026; '
            "expected one of U13, U15, U17, U20.",
        ),
        ("", "entries.csv, line 1: no line names an event."),
    ],
)
def test_what_no_meet_can_be_made_of(event, says):
    with pytest.raises(Unreadable) as caught:
        programme_of(table_from(f"{HEADINGS}MAR,Marrowdale,{event}\n"), UK)
    assert str(caught.value) == says


@pytest.mark.django_db
def test_a_meet_is_ready_for_entries_and_draw():
    created = make(programme_of(table_of("district_entries.csv"), UK))
    meet = created.meet
    assert (created.events, created.schools_added, created.schools_known, created.sessions) == (10, 9, 0, 2)
    events = list(meet.events.all())
    assert [(event.age_group, event.category, event.discipline, event.boards_cm) for event in events[2:4]] == [
        ("U15", "girls", "LJ", [100]),
        ("U15", "girls", "TJ", [700, 900, 1100, 1300]),
    ]
    assert [(pit.name, pit.sand_cm, pit.boards_cm) for pit in meet.pits.all()] == [
        ("Pit 1", 800, [100, 700, 900, 1100, 1300]),
        ("Pit 2", 800, [100, 700, 900, 1100, 1300]),
    ]
    by_pit = [
        {part.event.category for part in session.parts.all()}
        for session in PitSession.objects.filter(pit__meet=meet).order_by("pit__name")
    ]
    assert by_pit == [{"girls"}, {"boys"}]
    assert SessionPart.objects.filter(event__meet=meet).count() == 10
    assert list(SessionPart.objects.filter(session__pit__name="Pit 1").values_list("block", flat=True)) == [
        1,
        2,
        3,
        4,
        5,
    ]


@pytest.mark.django_db
def test_girls_alone_are_split_into_long_and_triple_jump():
    text = HEADINGS + "MAR,M,U15 Girls LJ\nMAR,M,U15 Girls TJ\nMAR,M,U17 Girls LJ\n"
    make(programme_of(table_from(text), UK))
    split = {
        session.pit.name: [part.event.name for part in session.parts.all()] for session in PitSession.objects.all()
    }
    assert split == {"Pit 1": ["U15 Girls LJ", "U17 Girls LJ"], "Pit 2": ["U15 Girls TJ"]}


@pytest.mark.django_db
def test_one_event_uses_one_pit():
    created = make(programme_of(table_from(HEADINGS + "MAR,M,U15 Girls LJ\n"), UK))
    assert (created.sessions, created.meet.pits.count()) == (1, 2)


@pytest.mark.django_db
def test_a_meet_in_feet_and_inches_has_boards_of_its_own():
    text = HEADINGS + "MAR,M,High School Girls LJ\nMAR,M,HS Girls TJ\n"
    programme = programme_of(table_from(text), scheme("us-grades"))
    meet = make(programme, age_scheme="us-grades", unit=Unit.QUARTER_INCH).meet
    assert (meet.unit, [event.boards_cm for event in meet.events.all()]) == ("quarter-inch", [[244], [732, 975]])


@pytest.mark.django_db
def test_known_schools_keep_their_name():
    SchoolFactory(code="MAR", name="Marrowdale")
    created = make(programme_of(table_of("district_entries.csv"), UK))
    assert (created.schools_added, created.schools_known) == (8, 1)
    assert School.objects.get(code="MAR").name == "Marrowdale"


@pytest.mark.django_db
def test_a_name_that_is_taken_makes_nothing():
    MeetFactory(slug="district")
    with pytest.raises(ValidationError) as caught:
        make(Programme(programme_of(table_of("district_entries.csv"), UK).events, (("NEW", "New School"),)))
    assert list(caught.value.message_dict) == ["slug"]
    assert (Meet.objects.count(), School.objects.count()) == (1, 0)
