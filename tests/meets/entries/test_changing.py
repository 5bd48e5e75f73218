from datetime import date

import pytest
from django.core.exceptions import ValidationError

from meets.entries.actions import (
    Refused,
    change_entry,
    change_entry_and_athlete,
    correct_athlete,
    restore_entry,
    withdraw_entry,
)
from meets.models import Entry
from scoring.facts import Jumped
from scoring.trials import Result
from tests.factories import (
    AthleteFactory,
    EntryFactory,
    EventFactory,
    LogRowFactory,
    PitSessionFactory,
    SessionPartFactory,
)
from tests.meets.entries.conftest import NOW


@pytest.fixture
def entry(db):
    event = EventFactory(
        name="U15 girls triple jump",
        age_group="U15",
        category="girls",
        discipline="TJ",
        boards_cm=[700, 900],
        meet__date=date(2026, 7, 4),
        meet__age_date=date(2026, 8, 31),
    )
    athlete = AthleteFactory(first_name="Orla", last_name="Elmsall", born=date(2012, 12, 7), school_year="")
    return EntryFactory(event=event, athlete=athlete, bib="7", string="A", seed_mark=980)


def other_of(entry, **fields):
    """A schoolmate in the same event."""
    athlete = AthleteFactory(school=entry.athlete.school, first_name="Bea", last_name="Rusk")
    return EntryFactory(**{"event": entry.event, "athlete": athlete, "bib": "8", **fields})


def change(entry, **changes):
    return change_entry(entry=entry, changes=changes, by="organiser", now=NOW)


def stored(entry):
    return Entry.objects.get(pk=entry.pk)


def test_details_are_changed(entry):
    change(entry, bib="12", string="B", seed_mark=1010, board_cm=900, klass="T46")
    found = stored(entry)
    assert (found.bib, found.string, found.seed_mark, found.board_cm, found.klass) == ("12", "B", 1010, 900, "T46")


def test_a_guest_has_no_string(entry):
    assert change(entry, guest=True).string == ""


@pytest.mark.parametrize(
    ("changes", "wrong"),
    [
        ({"bib": "8"}, {"bib": ["Bib 8 is worn by Bea Rusk in U15 girls triple jump."]}),
        (
            {"string": "B"},
            {"string": ["String B of this school in this event is taken by an entry stored before."]},
        ),
        (
            {"string": "C"},
            {
                "string": [
                    "String C is over the limit: by a rule under Settings "
                    "a school has 2 scoring entries in an event (A, B)."
                ]
            },
        ),
        ({"seed_mark": 1950}, {"seed_mark": ["This is farther than anybody has jumped."]}),
        ({"board_cm": 800}, {"board_cm": ["This event has no such board; its boards are 7 m, 9 m."]}),
        (
            {"bib": "8", "seed_mark": 1950},
            {
                "bib": ["Bib 8 is worn by Bea Rusk in U15 girls triple jump."],
                "seed_mark": ["This is farther than anybody has jumped."],
            },
        ),
    ],
)
def test_what_cannot_be_is_said_by_field_and_nothing_changes(entry, changes, wrong):
    other_of(entry, string="B")
    before = Entry.objects.values().get(pk=entry.pk)
    with pytest.raises(ValidationError) as caught:
        change(entry, **changes)
    assert caught.value.message_dict == wrong
    assert Entry.objects.values().get(pk=entry.pk) == before


def test_a_bib_is_worn_by_one_in_a_shared_session(entry):
    beside = EventFactory(meet=entry.event.meet, name="Beside", age_group="U13")
    session = PitSessionFactory(pit__meet=entry.event.meet)
    for event in (entry.event, beside):
        SessionPartFactory(session=session, event=event)
    other_of(entry, event=beside, bib="9")
    with pytest.raises(ValidationError):
        change(entry, bib="9")
    EntryFactory(event=EventFactory(meet=entry.event.meet, name="Elsewhere", age_group="U17"), bib="10")
    assert change(entry, bib="10").bib == "10"


def test_nobody_becomes_a_guest_once_trials_are_taken(entry):
    LogRowFactory(event=entry.event, fact=Jumped(str(entry.pk), 1, Result.MARK, 980))
    with pytest.raises(ValidationError) as caught:
        change(entry, guest=True)
    assert list(caught.value.message_dict) == ["guest"]
    assert change(entry, bib="12").bib == "12"


def test_other_fields_are_not_changed_here(entry):
    with pytest.raises(ValueError, match="status"):
        change(entry, status="withdrawn")


def test_the_athlete_is_corrected_in_every_event(entry):
    correct_athlete(
        athlete=entry.athlete, changes={"first_name": "Órla", "born": date(2012, 12, 8)}, by="organiser", now=NOW
    )
    assert (str(stored(entry).athlete), stored(entry).athlete.born) == ("Órla Elmsall", date(2012, 12, 8))


def test_a_birth_date_too_old_for_an_event_to_come_is_refused(entry):
    with pytest.raises(ValidationError) as caught:
        correct_athlete(athlete=entry.athlete, changes={"born": date(2011, 8, 31)}, by="organiser", now=NOW)
    assert caught.value.message_dict == {
        "born": [
            "U15 girls triple jump: 15 years old on 31 August 2026, so not under 15. The age group is U17.",
        ]
    }
    assert stored(entry).athlete.born == date(2012, 12, 7)


def test_entry_and_athlete_change_together_or_not_at_all(entry):
    other_of(entry)
    with pytest.raises(ValidationError):
        change_entry_and_athlete(
            entry=entry, changes={"bib": "8"}, of_athlete={"first_name": "Ola"}, by="organiser", now=NOW
        )
    assert (stored(entry).bib, stored(entry).athlete.first_name) == ("7", "Orla")
    change_entry_and_athlete(
        entry=entry, changes={"bib": "9"}, of_athlete={"first_name": "Ola"}, by="organiser", now=NOW
    )
    assert (stored(entry).bib, stored(entry).athlete.first_name) == ("9", "Ola")


def test_an_entry_is_withdrawn_and_restored(entry):
    withdraw_entry(entry=entry, by="organiser", now=NOW)
    assert stored(entry).status == "withdrawn"
    restore_entry(entry=entry, by="organiser", now=NOW)
    assert (stored(entry).status, stored(entry).bib) == ("confirmed", "7")


def test_once_drawn_the_log_says_who_has_withdrawn(entry):
    LogRowFactory(event=entry.event)
    with pytest.raises(Refused) as caught:
        withdraw_entry(entry=entry, by="organiser", now=NOW)
    assert str(caught.value) == (
        "U15 girls triple jump has been drawn. Withdraw Orla Elmsall on the event's page, so that its log says so."
    )
    assert stored(entry).status == "confirmed"


def test_a_string_or_bib_that_is_taken_meanwhile_does_not_come_back(entry):
    withdraw_entry(entry=entry, by="organiser", now=NOW)
    other = other_of(entry, string="A", bib="7b")
    with pytest.raises(Refused) as caught:
        restore_entry(entry=entry, by="organiser", now=NOW)
    assert str(caught.value) == (
        "This entry cannot be restored: string A of this school in this event is taken by an entry stored before."
    )
    Entry.objects.filter(pk=other.pk).update(string="B")
    assert restore_entry(entry=entry, by="organiser", now=NOW).status == "confirmed"


def test_a_restored_entry_leaves_a_bib_that_somebody_wears_now(entry):
    withdraw_entry(entry=entry, by="organiser", now=NOW)
    beside = EventFactory(meet=entry.event.meet, name="Beside", age_group="U13")
    session = PitSessionFactory(pit__meet=entry.event.meet)
    for event in (entry.event, beside):
        SessionPartFactory(session=session, event=event)
    other_of(entry, event=beside, bib="7")
    assert restore_entry(entry=entry, by="organiser", now=NOW).bib == ""
