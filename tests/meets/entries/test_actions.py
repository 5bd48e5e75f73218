"""What is stored, all of it or nothing."""

from datetime import UTC, date, datetime

import pytest
from django.db import IntegrityError

from athletes.models import Athlete, School
from meets.entries.actions import Refused, add_entry, add_schools, import_entries
from meets.entries.columns import Field
from meets.entries.file.accepting import accept_upload
from meets.entries.outcome import NewSchool, Verdict
from meets.models import Entry, Event
from tests.factories import MeetFactory
from tests.meets.entries.conftest import DATA, NOW

CLEAN, MESSY = "district_entries.csv", "entries_messy.csv"
LATE = datetime(2026, 7, 2, 9, 0, tzinfo=UTC)


def store(meet, checked, **options):
    return import_entries(meet=meet, checked=checked, by="organiser", now=NOW, **options)


def nothing_is_stored():
    return (Entry.objects.count(), Athlete.objects.count()) == (0, 0)


@pytest.mark.parametrize("name", [CLEAN, "district_entries.xlsx"])
def test_a_clean_file_is_stored_whole(meet, check, name):
    imported = store(meet, check(name))
    assert (imported.stored, imported.athletes_added) == (180, 144)
    assert (Entry.objects.count(), Athlete.objects.count()) == (180, 144)


def test_importing_again_stores_nothing_twice(meet, check):
    store(meet, check(CLEAN))
    again = check(CLEAN)
    assert again.counts()[Verdict.REPEAT] == 180
    assert store(meet, again).stored == 0
    assert (Entry.objects.count(), Athlete.objects.count()) == (180, 144)


def test_the_messy_file_again_is_repeats_and_refusals(meet, check):
    store(meet, check(MESSY), accept_warnings=True)
    counts = check(MESSY).counts()
    assert {verdict: count for verdict, count in counts.items() if count} == {
        Verdict.REFUSED: 13,
        Verdict.REPEAT: 14,
        Verdict.EMPTY: 1,
    }


def test_chosen_lines_alone_are_stored(meet, check):
    imported = store(meet, check(MESSY), chosen_lines={2, 12, 22}, accept_warnings=True)
    assert imported.lines == (2, 12, 22)
    assert Entry.objects.count() == 3


@pytest.mark.parametrize(
    ("chosen", "accept_warnings", "says"),
    [
        ({2, 6}, True, "These lines cannot be stored: 6."),
        ({2, 4, 17, 99}, True, "These lines cannot be stored: 4, 17, 99."),
        ({2, 12, 28}, False, "These lines are yours to decide: 12, 28."),
    ],
)
def test_a_choice_that_cannot_be_is_refused_whole(meet, check, chosen, accept_warnings, says):
    with pytest.raises(Refused) as caught:
        store(meet, check(MESSY), chosen_lines=chosen, accept_warnings=accept_warnings)
    assert (str(caught.value), nothing_is_stored()) == (says, True)


def test_a_check_that_has_been_overtaken_is_refused(meet, check):
    before = check(MESSY)
    store(meet, check(CLEAN))
    with pytest.raises(Refused) as caught:
        store(meet, before)
    assert str(caught.value) == "The entries of the meet have changed since the file was checked. Check it again."
    assert Entry.objects.count() == 180


def test_a_check_for_another_meet_is_refused(meet, check):
    with pytest.raises(Refused):
        store(MeetFactory(), check(CLEAN))
    assert nothing_is_stored()


def test_if_one_line_fails_in_the_database_none_is_stored(meet, check, monkeypatch):
    checked = check(CLEAN)
    real = Entry.objects.bulk_create

    def last_one_twice(entries, **options):
        entries = list(entries)
        entries.append(Entry(event_id=entries[-1].event_id, athlete_id=entries[-1].athlete_id))
        return real(entries, **options)

    monkeypatch.setattr(Entry.objects, "bulk_create", last_one_twice)
    with pytest.raises(IntegrityError):
        store(meet, checked)
    assert nothing_is_stored()


def test_after_the_deadline_late_entries_need_confirming(meet, check):
    meet.entry_deadline = datetime(2026, 7, 1, 18, 0, tzinfo=UTC)
    meet.save()
    checked = check(CLEAN)
    with pytest.raises(Refused) as caught:
        import_entries(meet=meet, checked=checked, by="organiser", now=LATE)
    assert (str(caught.value), nothing_is_stored()) == ("Entries are closed. Confirm that these are taken late.", True)
    assert import_entries(meet=meet, checked=checked, confirm_late=True, by="organiser", now=LATE).stored == 180


def test_athletes_of_another_meet_are_used_again(meet, check):
    store(meet, check(CLEAN))
    known = set(Athlete.objects.values_list("pk", flat=True))
    for entry in Entry.objects.all():
        entry.delete()
    imported = store(meet, check(CLEAN))
    assert (imported.athletes_added, set(Athlete.objects.values_list("pk", flat=True))) == (0, known)


def test_queries_of_an_import_do_not_grow_with_its_lines(
    meet, check, django_assert_num_queries, django_assert_max_num_queries
):
    checked = check(MESSY)
    with django_assert_max_num_queries(12) as seen:
        store(meet, checked, chosen_lines={2})
    checked = check(MESSY)
    with django_assert_num_queries(len(seen.captured_queries)):
        store(meet, checked, chosen_lines={3, 5, 7})


def accept(meet, check, name=MESSY, **options):
    digest = check(name).digest()
    data = (DATA / name).read_bytes()
    return accept_upload(
        meet=meet, name=name, data=data, by="organiser", now=NOW, **{"seen": digest, **options}
    ).imported.lines


def test_what_the_page_showed_is_stored_less_what_was_left_out(meet, check):
    assert accept(meet, check, left_out={13, 22}, consented={12}) == (2, 3, 5, 7, 8, 12, 15, 23, 25, 27)


def test_a_filter_limits_what_is_stored(meet, check):
    assert accept(meet, check, school="KES", consented={12}) == (22, 23, 25)
    assert accept(meet, check, verdict="asked", consented={12}) == (12,)


def test_another_outcome_than_the_page_showed_is_refused(meet, check):
    with pytest.raises(Refused) as caught:
        accept(meet, check, seen=check(CLEAN).digest())
    assert nothing_is_stored()
    assert str(caught.value) == (
        "Something has changed since this page was made. Look at the lines again, then store them."
    )


def test_choosing_nothing_is_refused(meet, check):
    with pytest.raises(Refused):
        accept(meet, check, verdict="refused")


VALUES = {
    Field.CODE: "MAR",
    Field.FIRST_NAME: "orla",
    Field.LAST_NAME: "ELMSALL",
    Field.BORN: date(2012, 12, 7),
    Field.SEX: "F",
    Field.EVENT: "U15 Girls Long Jump",
    Field.BEST: "4.75",
}


def test_one_entry_is_added_by_the_same_checks(meet):
    added = add_entry(meet=meet, values=VALUES, by="organiser", now=NOW)
    assert (str(added.entry.athlete), added.entry.event.name, added.entry.seed_mark) == (
        "Orla Elmsall",
        "U15 Girls Long Jump",
        475,
    )


def test_one_entry_that_is_refused_or_asked_about_is_not_stored(meet):
    refused = add_entry(meet=meet, values=VALUES | {Field.SEX: "M"}, by="organiser", now=NOW)
    asked = add_entry(meet=meet, values=VALUES | {Field.BEST: "47.5"}, by="organiser", now=NOW)
    assert [(a.entry, a.line.verdict) for a in (refused, asked)] == [(None, Verdict.REFUSED), (None, Verdict.ASKED)]
    assert nothing_is_stored()
    agreed = add_entry(meet=meet, values=VALUES | {Field.BEST: "47.5"}, accept_warnings=True, by="organiser", now=NOW)
    assert agreed.entry.seed_mark is None


def test_schools_are_added_once(meet):
    before = School.objects.count()
    wanted = [NewSchool("XYZ", "Far School"), NewSchool("xyz", "Far School"), NewSchool("mar", "Marrowdale")]
    assert add_schools(schools=wanted, by="organiser", now=NOW) == 1
    assert School.objects.count() == before + 1


def test_a_new_entry_of_an_event_is_seen_by_its_name(meet, check):
    store(meet, check(CLEAN))
    assert {event.name: event.entries.count() for event in Event.objects.filter(meet=meet)} == dict.fromkeys(
        Event.objects.filter(meet=meet).values_list("name", flat=True), 18
    )


def test_a_name_is_hidden_by_any_line_and_shown_again_by_none(meet, check):
    heading = "School code,First name,Surname,Date of birth,Sex,Event,Name not shown\n"

    def hidden_after(*lines):
        store(meet, check(heading + "".join(f"MAR,Orla,Elmsall,2012-12-07,F,{line}\n" for line in lines)))
        return Athlete.objects.get().not_public

    assert hidden_after("U15 Girls Long Jump,yes", "U15 Girls Triple Jump,") is True
    Entry.objects.all().delete()
    assert hidden_after("U15 Girls Long Jump,no") is True
    Athlete.objects.update(not_public=False)
    assert hidden_after("U15 Girls Triple Jump,yes") is True
