"""Published marks become known marks, and stay true to the last version."""

from datetime import date

import pytest

from athletes.models import PastMark
from meets.models import Entry
from meets.publishing.document import draft_of, result_document
from meets.records.past_marks import Copied, copy_bests
from meets.records.reads import honours_of
from meets.running import actions
from tests.factories import EntryFactory, EventFactory, MeetFactory, PastMarkFactory
from tests.meets.records.jumping import DESK, NOW, correct, event, jump, key, now

pytestmark = pytest.mark.django_db


def document(found):
    return result_document(
        draft_of(found, NOW),
        now=NOW,
        status="provisional",
        version=1,
        by="B",
        reason="",
        protests_until=None,
        before=None,
    )


def known():
    rows = PastMark.objects.exclude(taken_from="").order_by("pk")
    return [(mark.mark_cm, mark.wind_tenths, mark.jumped_on) for mark in rows]


def test_every_valid_mark_is_taken_once_with_its_wind():
    found = event("1 2")
    jump(found, {"1": "5.43+1.0 x 5.50+2.3", "2": "5.12NWI 5.00"})
    day = found.meet.date
    assert copy_bests(found, document(found)) == Copied(3, 0, 0)
    assert sorted(known(), key=str) == sorted([(543, 10, day), (550, 23, day), (512, None, day)], key=str)
    own = PastMark.objects.filter(athlete=found.entries.get(bib="1").athlete)
    assert [(mark.source, mark.taken_from, mark.discipline) for mark in own] == [
        (found.meet.name, f"event-{found.pk}-{key(found, '1')}-{round}-0", "LJ") for round in (1, 3)
    ]
    assert copy_bests(found, document(found)) == Copied(0, 0, 0)


def test_a_correction_and_a_disqualification_bring_them_up_to_date_and_touch_no_other_marks():
    found = event("1 2")
    other = PastMarkFactory(athlete=found.entries.get(bib="1").athlete)
    jump(found, {"1": "5.43+1.0 5.30+0.0", "2": "5.12+0.3"})
    copy_bests(found, document(found))
    correct(found, "1", 1, "5.34")
    correct(found, "1", 2, "x")
    assert copy_bests(found, document(found)) == Copied(0, 1, 1)
    assert sorted(mark for mark, _wind, _day in known()) == [512, 534]
    actions.disqualify(event_id=found.pk, entry=key(found, "1"), reason="not eligible", **DESK)
    assert copy_bests(found, document(found)) == Copied(0, 0, 1)
    assert [mark for mark, _wind, _day in known()] == [512]
    assert PastMark.objects.filter(pk=other.pk).exists()


def test_an_event_whose_number_begins_alike_keeps_its_marks():
    found = event("1")
    PastMarkFactory(taken_from=f"event-{found.pk}1-7-1-0")
    jump(found, {"1": "5.43+1.0"})
    copy_bests(found, document(found))
    assert len(known()) == 2


def test_marks_from_a_take_off_zone_are_not_taken():
    found = event("1", rule_changes={"take_off_zone": "yes", "zone_cm": "80"})
    jump(found, {"1": "3.43+1.0"})
    assert copy_bests(found, document(found)) == Copied(0, 0, 0)


def test_a_mark_in_quarter_inches_is_kept_as_it_was_measured():
    """16-04.50 and 16-04.75 are both 4.99 m: who has jumped the longer one has no best with the shorter one."""
    found = event("1", unit="quarter-inch")
    actions.record_trial(
        event_id=found.pk, turn=now(found)[1].turns[0].turn, trial="16-04.75", wind="+1.0", answered=True,
        by="R. Corder", recorder="pit", now=NOW,
    )  # fmt: skip
    copy_bests(found, document(found))
    assert PastMark.objects.values_list("mark_cm", "quarter_inches").get() == (499, 787)
    athlete = found.entries.get(bib="1").athlete

    def sign_for(text, unit="quarter-inch"):
        later = EventFactory(meet=MeetFactory(date=date(2027, 7, 1), unit=unit, rule_set="three-only"), discipline="LJ")
        entry = EntryFactory(event=later, athlete=athlete, seed_mark=None)
        actions.draw(event_id=later.pk, seed=1, **DESK)
        turn = now(later)[1].turns[0].turn
        actions.record_trial(
            event_id=later.pk, turn=turn, trial=text, wind="+1.0", answered=True, by="R", recorder="pit", now=NOW
        )
        return honours_of(*now(later))[str(entry.pk)].signs

    assert (sign_for("16-04.50"), sign_for("16-04.75"), sign_for("16-05.00")) == ((), (), ("PB",))
    # In metres 16-04.75 is 4.9974 to 5.0038: 5.00 may be the same jump, 5.01 is longer for certain.
    assert (sign_for("5.00", "cm"), sign_for("5.01", "cm")) == ((), ("PB",))


def test_the_number_of_queries_does_not_grow_with_the_event(django_assert_num_queries):
    for bibs in ("1", "1 2 3 4 5"):
        found = event(bibs)
        jump(found, dict.fromkeys(bibs.split(), "5.43+1.0 5.44+0.0"))
        published = document(found)
        with django_assert_num_queries(5):
            copy_bests(found, published)
    assert Entry.objects.count() == 6
