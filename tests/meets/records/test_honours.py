"""What stands beside a mark: bests, standards, claims, and why a mark is none."""

from datetime import date

import pytest

from meets.models import RecordClaim
from meets.records.actions import claims_from
from meets.records.reads import Honours, RecordHit, honours_of, records_of, standards_of
from meets.running import actions
from tests.factories import PastMarkFactory, RecordFactory, SchoolFactory, StandardFactory
from tests.meets.records.jumping import DESK, KIND, NOW, book, correct, event, jump, key, now

pytestmark = pytest.mark.django_db


def hits(found, bib="1"):
    own = honours_of(*now(found))[key(found, bib)]
    return [hit.says for hit in own.records], list(own.not_records)


@pytest.mark.parametrize(
    ("series", "claims", "others"),
    [
        ("5.39+1.0", [], []),
        ("5.40+1.0", ["equals district record (claim)"], []),
        ("5.41+1.0 5.43+0.0", ["district record (claim)"], []),
        ("5.44NWI", [], ["5.44 would beat the district record 5.40: no wind information."]),
        ("5.44+2.3", [], ["5.44w would beat the district record 5.40: wind-assisted."]),
        ("5.40+2.3", [], ["5.40w would equal the district record 5.40: wind-assisted."]),
        ("5.44", [], ["5.44 would beat the district record 5.40: the wind is still to come."]),
        ("5.61+2.1 5.58+1.4", ["district record (claim)"],
         ["5.61w would beat the district record 5.40: wind-assisted."]),
    ],
)  # fmt: skip
def test_claims_and_marks_that_are_none(series, claims, others):
    found = event()
    book(found, 520, 540)
    jump(found, {"1": series})
    assert hits(found) == (claims, others)


def test_a_hit_names_book_level_and_mark():
    found = event()
    made = book(found, 540, level="meet")
    jump(found, {"1": "5.43+1.0"})
    assert honours_of(*now(found))[key(found, "1")].records == (
        RecordHit("meet record", made.name, False, "", "5.43", "meet record (claim)"),
    )


def test_nobody_beats_a_record_of_another_event_a_taken_out_one_or_that_of_another_meets_book():
    found = event()
    made = book(found)
    RecordFactory(book=made, mark=500, **KIND | {"age_group": "U17"})
    RecordFactory(book=made, mark=500, taken_out_reason="typed wrong", taken_out_at=DESK["now"], **KIND)
    RecordFactory(mark=500, **KIND)
    jump(found, {"1": "5.43+1.0"})
    assert hits(found) == ([], [])


def test_guests_set_no_meet_record_but_one_of_their_own_school():
    found = event(guests="1")
    book(found, 540, level="meet")
    book(found, 530, level="school", school=found.entries.get(bib="1").athlete.school)
    jump(found, {"1": "5.43+1.0"})
    assert hits(found) == (
        ["school record (claim)"],
        ["5.43 would beat the meet record 5.40: guests set no record here."],
    )


def test_a_school_record_is_for_its_own_athletes():
    found = event()
    book(found, 500, level="school", school=SchoolFactory())
    jump(found, {"1": "5.43+1.0"})
    assert hits(found) == ([], [])


def test_a_mark_under_protest_is_no_claim_before_it_is_decided():
    found = event()
    book(found, 540)
    jump(found, {"1": "5.43+1.0"})
    actions.lodge_protest(event_id=found.pk, name="p1", entry=key(found, "1"), who="bib 2", reason="line", **DESK)
    assert hits(found) == ([], ["5.43 would beat the district record 5.40: the trial is not settled yet."])
    actions.decide_protest(event_id=found.pk, name="p1", upheld=False, reason="seen by the judge", **DESK)
    assert hits(found) == (["district record (claim)"], [])


def test_marks_from_a_zone_never():
    found = event(rule_changes={"take_off_zone": "yes", "zone_cm": "80"})
    book(found, 300, level="meet", needs_wind=False)
    jump(found, {"1": "3.43+1.0"})
    assert hits(found) == (
        [],
        ["3.43 would beat the meet record 3.00: marks from a take-off zone are a kind of their own."],
    )


def test_the_one_who_jumps_first_is_equalled_by_the_other_whatever_is_put_right_later():
    found = event("1 2")
    book(found, 540)
    jump(found, {"1": "5.43+1.0", "2": "5.34+0.1"})
    correct(found, "2", 1, "5.43")
    first, second = [entry.line.bib for entry in now(found)[1].entries]
    assert hits(found, first) == (["district record (claim)"], [])
    assert hits(found, second) == (["equals district record (claim)"], [])


def test_a_refused_claim_is_not_shown_and_leaves_a_shorter_one_its_place():
    found = event()
    book(found, 540)
    jump(found, {"1": "5.43+1.0 5.50+0.2"})
    claims_from(found, NOW, "O")
    for mark, state in ((550, "refused"), (543, "approved")):
        RecordClaim.objects.filter(mark=mark).update(state=state)
    (hit,) = honours_of(*now(found))[key(found, "1")].records
    assert (hit.shown, hit.says, hit.claim_state) == ("5.43", "district record", "approved")
    RecordClaim.objects.update(state="refused")
    assert hits(found) == ([], [])


def test_a_disqualified_athlete_has_nothing():
    found = event()
    book(found, 540)
    jump(found, {"1": "5.43+1.0"})
    actions.disqualify(event_id=found.pk, entry=key(found, "1"), reason="not eligible", **DESK)
    assert honours_of(*now(found))[key(found, "1")] == Honours()


@pytest.mark.parametrize(
    ("series", "changes", "expected"),
    [
        ("5.12+1.0", {}, Honours(("PB",), "5.12", "+1.0", standard="Silver")),
        ("5.12NWI", {}, Honours(("PB",), "5.12", "NWI", standard="Silver")),
        ("5.12NWI 5.12+0.2", {}, Honours(("PB",), "5.12", "+0.2", standard="Silver")),
        ("5.12NWI 4.90+0.1", {"nwi_counts_for_bests": "no"}, Honours((), "4.90", "+0.1", standard="Bronze")),
        ("5.12+2.4 4.90+0.1", {}, Honours((), "4.90", "+0.1", "5.12w", "+2.4", standard="Bronze")),
        ("5.12+2.4 x", {}, Honours((), windy_shown="5.12w", windy_wind="+2.4")),
        ("5.12+2.4", {"windy_counts_for_bests": "yes"}, Honours(("PB",), "5.12w", "+2.4", standard="Silver")),
        ("5.05+2.4 4.95+0.1", {}, Honours(("SB",), "4.95", "+0.1", standard="Bronze")),
        ("5.12", {}, Honours()),
        ("x", {}, Honours()),
    ],
)
def test_bests_and_standards_go_by_the_marks_that_the_rules_let_count(series, changes, expected):
    """Known: 5.00 legal last year, 5.08 wind-assisted, and 4.93 without wind information this year."""
    found = event(rule_changes=changes)
    athlete = found.entries.get(bib="1").athlete
    PastMarkFactory(athlete=athlete, mark_cm=500, wind_tenths=3, jumped_on=date(2026, 6, 1))
    PastMarkFactory(athlete=athlete, mark_cm=508, wind_tenths=25, jumped_on=date(2026, 6, 1))
    PastMarkFactory(athlete=athlete, mark_cm=493, wind_tenths=None, jumped_on=date(2027, 5, 1))
    for name, mark in (("Bronze", 470), ("Silver", 500), ("Gold", 530)):
        StandardFactory(meet=found.meet, name=name, mark=mark)
    jump(found, {"1": series})
    assert honours_of(*now(found))[key(found, "1")] == expected


def test_the_standard_that_says_most_exactly_whom_it_is_for_holds():
    found = event()
    for mark, more in (
        (450, {}),
        (470, {"category": "girls"}),
        (440, {"age_group": "U15"}),
        (300, {"age_group": "U13"}),
    ):
        StandardFactory(meet=found.meet, name="Bronze", mark=mark, **more)
    StandardFactory(meet=found.meet, name="Gold", mark=500)
    StandardFactory(meet=found.meet, name="Hop", mark=1000, discipline="TJ")
    StandardFactory(name="Elsewhere", mark=400)
    assert [(line.name, line.mark, line.shown) for line in standards_of(found)] == [
        ("Bronze", 440, "4.40"), ("Gold", 500, "5.00"),
    ]  # fmt: skip


def test_records_that_stand_for_an_event():
    found = event()
    made = book(found, 520, 540)
    RecordFactory(book=made, mark=540, year=2024, holder="Maren Inskeld", school="Elmgarth Academy", **KIND)
    (line,) = records_of(found)
    assert (line.level, line.mark, line.shown) == ("district record", 540, "5.40")
    assert (line.holder, line.school) == ("Edda Hobbeck, Maren Inskeld", "Mirefold High, Elmgarth Academy")
    assert (line.year, line.wind, line.of_school) == ("2011, 2024", "+0.6", "")


def test_the_name_of_a_pupil_who_holds_a_record_is_shown_as_the_public_may_see_it():
    found = event(public_names="initial")
    athlete = found.entries.get(bib="1").athlete
    made = book(found)
    RecordFactory(book=made, athlete=athlete, holder=str(athlete), **KIND)
    assert [line.holder for line in records_of(found)] == [f"{athlete.first_name} {athlete.last_name[:1]}."]
    assert [line.holder for line in records_of(found, full_names=True)] == [str(athlete)]


def test_a_book_in_the_other_unit_is_shown_with_both_and_compared_exactly():
    found = event("1 2")
    book(found, 800, unit="quarter-inch")
    assert [(line.mark, line.shown) for line in records_of(found)] == [(508, "16-08.00 (5.08 m)")]
    jump(found, {"1": "5.08+1.0", "2": "5.09+1.0"})
    says = "the book is kept in another unit, in which this mark cannot be written without rounding"
    assert hits(found, "1") == (["equals district record (claim)"], [])
    assert hits(found, "2") == ([], [f"5.09 would beat the district record 16-08.00 (5.08 m): {says}."])


@pytest.mark.parametrize("bibs", ["1", "1 2 3 4 5"])
def test_honours_take_the_same_number_of_queries_for_one_athlete_and_for_five(bibs, django_assert_num_queries):
    found = event(bibs)
    book(found, 540)
    StandardFactory(meet=found.meet)
    jump(found, dict.fromkeys(bibs.split(), "5.43+1.0 5.44+0.0"))
    event_, state, entries = now(found)
    with django_assert_num_queries(6):
        honours_of(event_, state, entries)
