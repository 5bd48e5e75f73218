"""Claims: made, decided by named officials, and true to what stands in the log."""

import pytest

from athletes.models import Athlete
from meets.models import Record, RecordClaim
from meets.records.actions import Confirmed, add_record, claims_from, decide_claim, take_out_record
from meets.records.reads import records_of
from meets.running import actions
from meets.running.refusals import Refusal
from scoring.log import Turn
from tests.factories import RecordFactory
from tests.meets.records.jumping import DESK, KIND, LATER, NOW, book, correct, event, jump, key

pytestmark = pytest.mark.django_db
BY = "O. Rganiser"
ALL = Confirmed("J. Udge", "M. Easurer", "G. Auge")


def claims(found):
    """How every claim of an event stands: mark, state, equals."""
    rows = RecordClaim.objects.filter(event=found).order_by("pk")
    return [(claim.mark, claim.state, claim.equals) for claim in rows]


def renew(found, now=NOW):
    return claims_from(found, now, BY)


def approve(found, mark, confirmed=ALL):
    claim = RecordClaim.objects.get(event=found, mark=mark)
    return decide_claim(claim=claim, approve=True, confirmed=confirmed, by=BY, now=LATER)


def standing_mark(found):
    (line,) = records_of(found)
    return line.mark, line.holder


@pytest.fixture
def found():
    return event()


@pytest.fixture
def made(found):
    return book(found, 520, 540)


def test_each_mark_that_beat_what_stood_when_it_was_jumped_is_a_claim(found, made):
    jump(found, {"1": "5.43+1.0 5.42+0.0 5.50-0.3", "2": "5.39+0.2 x 5.50+0.2", "3": "5.60NWI 5.70+2.1 x"})
    done = renew(found)
    assert claims(found) == [(543, "open", False), (550, "open", False), (550, "open", True)]
    assert [claim.mark for claim in done.made] == [543, 550, 550]
    first = RecordClaim.objects.get(mark=543)
    assert (first.turn, first.wind_tenths, first.made_at) == (f"{key(found, '1')}-1-0", 10, NOW)


def test_nothing_new_is_made_of_the_same_result(found, made):
    jump(found, {"1": "5.43+1.0"})
    renew(found)
    done = renew(found, LATER)
    assert (done.made, done.withdrawn, done.taken_out) == ([], [], [])
    assert claims(found) == [(543, "open", False)]


def test_an_approved_claim_stands_in_the_book_with_everything_known_of_it(found, made):
    jump(found, {"1": "5.43+1.0"})
    renew(found)
    record = approve(found, 543)
    athlete = found.entries.get(bib="1").athlete
    assert Record.objects.filter(pk=record.pk).values(
        "book", "mark", "wind_tenths", "holder", "school", "athlete", "year", "set_on", "venue", "approved_by",
        "discipline", "category", "age_group",
    ).get() == {
        "book": made.pk, "mark": 543, "wind_tenths": 10, "holder": str(athlete), "school": athlete.school.name,
        "athlete": athlete.pk, "year": 2027, "set_on": found.meet.date, "venue": "Pyddle Vale", "approved_by": BY,
        **KIND,
    }  # fmt: skip
    claim = RecordClaim.objects.get()
    assert (claim.state, claim.decided_by, claim.decided_at, claim.record) == ("approved", BY, LATER, record)
    assert (claim.board_confirmed_by, claim.measured_confirmed_by, claim.wind_confirmed_by) == (
        "J. Udge", "M. Easurer", "G. Auge",
    )  # fmt: skip
    assert standing_mark(found)[0] == 543
    # The history stays, and the claims of the event are measured by what stood before it.
    assert sorted(made.records.values_list("mark", flat=True)) == [520, 540, 543]
    renew(found)
    assert claims(found) == [(543, "approved", False)]


@pytest.mark.parametrize(
    ("needs_wind", "confirmed", "says"),
    [
        (True, Confirmed(), "Not confirmed yet: board and runway, the measuring, the wind."),
        (True, Confirmed("J. Udge", " ", "G. Auge"), "Not confirmed yet: the measuring."),
        (True, Confirmed("J. Udge", "M. Easurer"), "Not confirmed yet: the wind."),
        (False, Confirmed(measured="M. Easurer"), "Not confirmed yet: board and runway."),
    ],
)
def test_nobody_approves_what_officials_have_not_confirmed(found, needs_wind, confirmed, says):
    made = book(found, 540, needs_wind=needs_wind)
    jump(found, {"1": "5.43+1.0"})
    renew(found)
    with pytest.raises(Refusal) as refused:
        approve(found, 543, confirmed)
    assert str(refused.value) == f"{says} Type the name of the official who confirms it."
    assert (claims(found), made.records.count()) == ([(543, "open", False)], 1)


def test_a_book_that_needs_no_wind_is_approved_without_it_and_says_that_there_is_no_information(found):
    book(found, 540, needs_wind=False)
    jump(found, {"1": "5.43NWI"})
    renew(found)
    approve(found, 543, Confirmed("J. Udge", "M. Easurer"))
    assert [(line.mark, line.wind) for line in records_of(found)] == [(543, "NWI")]


def test_a_refusal_says_why_and_is_not_put_forward_again(found, made):
    jump(found, {"1": "5.43+1.0"})
    renew(found)
    claim = RecordClaim.objects.get()
    with pytest.raises(Refusal, match="A refusal needs its reason"):
        decide_claim(claim=claim, approve=False, by=BY, now=LATER, decision=" ")
    decide_claim(claim=claim, approve=False, by=BY, now=LATER, decision="the board stood 2 cm too near")
    assert renew(found).made == []
    claim.refresh_from_db()
    assert (claim.state, claim.decision) == ("refused", "the board stood 2 cm too near")
    assert standing_mark(found)[0] == 540
    with pytest.raises(Refusal, match="This claim is decided: refused"):
        approve(found, 543)


def test_a_disqualification_takes_the_approved_record_out_so_that_the_former_one_stands(found, made):
    jump(found, {"1": "5.43+1.0 5.50+0.0 x", "2": "x x 5.45+0.2"})
    renew(found)
    approve(found, 550)
    actions.disqualify(event_id=found.pk, entry=key(found, "1"), reason="not eligible", **DESK)
    done = renew(found, LATER)
    assert [record.mark for record in done.taken_out] == [550]
    assert claims(found) == [(543, "withdrawn", False), (550, "withdrawn", False), (545, "open", False)]
    record = Record.objects.get(mark=550)
    assert (record.taken_out_reason, record.taken_out_by) == ("disqualified: not eligible", BY)
    assert standing_mark(found) == (540, "Edda Hobbeck")


@pytest.mark.parametrize(
    ("mark", "wind", "expected", "why"),
    [
        ("5.34", None, (543, "withdrawn", False), "the trial was put right: 5.34"),
        ("x", None, (543, "withdrawn", False), "the trial no longer stands with a valid mark"),
        ("5.43", "+2.2", (543, "withdrawn", False), "wind-assisted"),
        ("5.43", "NWI", (543, "withdrawn", False), "no wind information"),
        ("5.44", None, (544, "open", False), "the trial was put right: 5.44"),
        ("5.43", "+1.2", (543, "open", False), "the trial was put right: 5.43"),
        ("5.40", None, (540, "open", True), "the trial was put right: 5.40"),
    ],
)
@pytest.mark.parametrize("approved", [False, True])
def test_a_correction_changes_the_claim_and_takes_out_what_was_approved(
    found, made, mark, wind, expected, why, approved
):
    jump(found, {"1": "5.43+1.0"})
    renew(found)
    record = approve(found, 543) if approved else None
    actions.correct_trial(
        event_id=found.pk, turn=Turn(key(found, "1"), 1), trial=mark, wind=wind, reason="misread", **DESK
    )
    renew(found, LATER)
    assert claims(found) == [expected]
    assert standing_mark(found)[0] == 540
    claim = RecordClaim.objects.get()
    assert (claim.board_confirmed_by == "") == (claim.state == "open" or not approved)
    if record:
        record.refresh_from_db()
        assert (record.taken_out_reason, record.taken_out_at) == (why, LATER)
    if claim.state == "withdrawn":
        assert claim.decision == why


def test_a_withdrawn_claim_is_open_again_once_its_mark_stands(found, made):
    jump(found, {"1": "5.43+1.0"})
    renew(found)
    correct(found, "1", 1, "x")
    renew(found)
    assert claims(found) == [(543, "withdrawn", False)]
    correct(found, "1", 1, "5.43")
    assert [claim.mark for claim in renew(found).made] == [543]
    assert claims(found) == [(543, "open", False)]


def test_a_claim_waits_while_its_trial_is_under_protest_and_cannot_be_approved(found, made):
    jump(found, {"1": "5.43+1.0"})
    renew(found)
    actions.lodge_protest(
        event_id=found.pk, name="p1", turn=Turn(key(found, "1"), 1), who="bib 2", reason="line", **DESK
    )
    renew(found)
    assert claims(found) == [(543, "open", False)]
    with pytest.raises(Refusal) as refused:
        approve(found, 543)
    assert str(refused.value) == (
        "This mark cannot be approved as the result stands now: the trial is not settled yet."
    )


def test_a_claim_that_no_longer_stands_cannot_be_approved_before_it_is_withdrawn(found, made):
    jump(found, {"1": "5.43+1.0"})
    renew(found)
    correct(found, "1", 1, "5.34")
    with pytest.raises(Refusal) as refused:
        approve(found, 543)
    assert str(refused.value).endswith("as the result stands now: the trial was put right: 5.34.")


def test_an_older_and_longer_record_that_is_typed_in_later_withdraws_what_is_open_and_leaves_what_is_approved(
    found, made
):
    jump(found, {"1": "5.43+1.0", "2": "x 5.45+0.1"})
    renew(found)
    approve(found, 543)
    add_record(record=RecordFactory.build(book=made, mark=560, year=2021, **KIND), by=BY)
    renew(found)
    assert claims(found) == [(543, "approved", False), (545, "withdrawn", False)]
    assert RecordClaim.objects.get(mark=545).decision == "what has to be beaten is longer by now"
    assert standing_mark(found)[0] == 560


def test_records_of_later_years_are_nothing_that_an_earlier_meet_had_to_beat(found, made):
    RecordFactory(book=made, mark=600, year=2029, **KIND)
    jump(found, {"1": "5.43+1.0"})
    renew(found)
    assert claims(found) == [(543, "open", False)]


def test_a_record_is_taken_out_by_hand_with_a_reason_and_its_claim_is_not_put_forward_again(found, made):
    jump(found, {"1": "5.43+1.0"})
    renew(found)
    record = approve(found, 543)
    with pytest.raises(Refusal, match="with a reason"):
        take_out_record(record=record, by=BY, now=LATER, reason="")
    take_out_record(record=record, by=BY, now=LATER, reason="tape was found to be short")
    assert standing_mark(found)[0] == 540
    with pytest.raises(Refusal, match="taken out already: tape was found to be short"):
        take_out_record(record=record, by=BY, now=LATER, reason="again")
    renew(found)
    assert claims(found) == [(543, "refused", False)]
    assert RecordClaim.objects.get().decision == "taken out of the book: tape was found to be short"


def test_the_name_of_a_pupil_who_is_no_longer_known_is_not_shown(found, made):
    jump(found, {"1": "5.43+1.0"})
    renew(found)
    record = approve(found, 543)
    Record.objects.filter(pk=record.pk).update(athlete=None)
    assert standing_mark(found) == (543, "")
    assert Athlete.objects.filter(entries__bib="1").exists()


def test_a_late_wind_is_written_into_a_record_that_needed_none(found):
    book(found, 540, needs_wind=False)
    jump(found, {"1": "5.43"})
    renew(found)
    record = approve(found, 543, Confirmed("J. Udge", "M. Easurer"))
    actions.record_wind(event_id=found.pk, turn=Turn(key(found, "1"), 1), wind="+1.1", **DESK)
    renew(found)
    record.refresh_from_db()
    assert (claims(found), record.wind_tenths, record.taken_out_at) == ([(543, "approved", False)], 11, None)
