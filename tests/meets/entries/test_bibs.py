import pytest

from athletes.models import School
from meets.entries.bibs import assign_bibs, bib_order, wearer_of
from meets.models import Entry
from tests.factories import (
    AthleteFactory,
    EntryFactory,
    EventFactory,
    MeetFactory,
    PitSessionFactory,
    SchoolFactory,
    SessionPartFactory,
)


@pytest.fixture
def meet(db):
    return MeetFactory()


def events_of(meet, count):
    return [
        EventFactory(
            meet=meet, name=f"Event {n}", age_group=f"U{10 + n}", position=n, discipline="LJ", category="girls"
        )
        for n in range(count)
    ]


def bibs(*entries):
    return [Entry.objects.get(pk=entry.pk).bib for entry in entries]


def enter(event, athlete, bib=""):
    return EntryFactory(event=event, athlete=athlete, bib=bib)


def test_numbers_come_in_their_order_before_other_bibs():
    assert sorted(["12", "B1", "2", "²", "٣", "10", "A"], key=bib_order) == ["2", "٣", "10", "12", "A", "B1", "²"]


def test_athletes_are_numbered_through_school_by_school_and_keep_their_number(meet):
    one, two = events_of(meet, 2)
    later, first = SchoolFactory(code="ZZZ"), SchoolFactory(code="AAA")
    last = AthleteFactory(school=later, last_name="Abara")
    beta, alpha = (AthleteFactory(school=first, last_name=name) for name in ("Beta", "Alpha"))
    entries = [enter(one, last), enter(one, beta), enter(two, beta), enter(two, alpha)]
    assigned = assign_bibs(meet=meet)
    assert bibs(*entries) == ["3", "2", "2", "1"]
    assert (assigned.given, assigned.kept) == (4, 0)


def test_bibs_that_are_there_stay_and_their_numbers_are_not_given_again(meet):
    (event,) = events_of(meet, 1)
    school = SchoolFactory()
    names = [AthleteFactory(school=school, last_name=name) for name in ("Aa", "Bb", "Cc")]
    kept, lettered, new = enter(event, names[0], "2"), enter(event, names[1], "AA"), enter(event, names[2])
    assert (assign_bibs(meet=meet).given, bibs(kept, lettered, new)) == (1, ["2", "AA", "1"])
    assert (assign_bibs(meet=meet).given, bibs(kept, lettered, new)) == (0, ["2", "AA", "1"])


def test_an_athlete_gets_the_number_worn_elsewhere_unless_somebody_else_wears_it_there(meet):
    one, two, three = events_of(meet, 3)
    orla, bea = AthleteFactory(), AthleteFactory()
    enter(one, orla, "7")
    same = enter(two, orla)
    enter(three, bea, "7")
    other = enter(three, orla)
    assign_bibs(meet=meet)
    assert bibs(same, other) == ["7", "1"]


def test_a_number_is_not_worn_by_two_in_one_pit_session(meet):
    one, two = events_of(meet, 2)
    session = PitSessionFactory(pit__meet=meet)
    for event in (one, two):
        SessionPartFactory(session=session, event=event)
    elsewhere = events_of(MeetFactory(), 1)[0]
    orla, bea = AthleteFactory(), AthleteFactory()
    enter(one, bea, "7")
    enter(elsewhere, orla, "7")
    new = enter(two, orla)
    assign_bibs(meet=meet)
    assert bibs(new) == ["1"]
    assert wearer_of(two, "7", other_than=orla).athlete == bea
    assert wearer_of(two, "7", other_than=bea) is None
    assert wearer_of(elsewhere, "7", other_than=bea).athlete == orla


def test_withdrawn_entries_get_no_bib(meet):
    (event,) = events_of(meet, 1)
    gone = EntryFactory(event=event, bib="", status="withdrawn")
    assert (assign_bibs(meet=meet).given, bibs(gone)) == (0, [""])


def test_bibs_are_one_number_for_each_athlete_of_a_whole_meet(meet):
    one, two = events_of(meet, 2)
    schools = [SchoolFactory() for _n in range(3)]
    athletes = [AthleteFactory(school=school) for school in schools for _n in range(3)]
    for athlete in athletes:
        enter(one, athlete)
    for athlete in athletes[::2]:
        enter(two, athlete)
    assign_bibs(meet=meet)
    worn = set(Entry.objects.values_list("athlete", "bib"))
    assert sorted(int(bib) for _athlete, bib in worn) == list(range(1, 10))
    by_school = [
        sorted({int(bib) for bib in Entry.objects.filter(athlete__school=school).values_list("bib", flat=True)})
        for school in School.objects.order_by("code")
    ]
    assert by_school == [[1, 2, 3], [4, 5, 6], [7, 8, 9]]


def test_queries_do_not_grow_with_the_entries(meet, django_assert_num_queries, django_assert_max_num_queries):
    (event,) = events_of(meet, 1)
    EntryFactory(event=event, bib="")
    with django_assert_max_num_queries(10) as seen:
        assign_bibs(meet=meet)
    EntryFactory.create_batch(3, event=event, bib="")
    with django_assert_num_queries(len(seen.captured_queries)):
        assign_bibs(meet=meet)
