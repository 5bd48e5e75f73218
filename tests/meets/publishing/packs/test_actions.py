"""When a pack is a new one, what it says of itself, and which letters are put in line."""

import json
from datetime import timedelta

import pytest

from meets.models import Mailing, SchoolPack
from meets.publishing.packs.actions import has_arrived, make_packs, put_in_line, send_again
from meets.running.refusals import Refusal
from tests.factories import START, NextMeetFactory
from tests.meets.publishing.documents import trial
from tests.meets.publishing.packs.days import PublishedDay


def versions(day):
    return {
        school.code: list(SchoolPack.objects.filter(school=school).values_list("version", flat=True))
        for school in day.schools
    }


def states(day):
    """By school, each letter: the version of its pack and how it stands."""
    found = {}
    for mailing in Mailing.objects.select_related("pack__school").order_by("pack__version", "pk"):
        found.setdefault(mailing.pack.school.code, []).append((mailing.pack.version, mailing.state))
    return found


def pack_of(day, number, version=1):
    return SchoolPack.objects.get(school=day.schools[number], version=version)


def sent(*mailings):
    Mailing.objects.filter(pk__in=[mailing.pk for mailing in mailings] or Mailing.objects.all()).update(state="sent")


def says(pack):
    return [change["says"] for change in pack.changes]


def test_a_pack_has_the_full_names_of_its_own_athletes_and_nobody_elses(day):
    assert len(day.packs().new) == 3
    for number, school in enumerate(day.schools):
        pack = pack_of(day, number)
        lines = [line for event in json.loads(pack.document)["events"] for line in event["lines"]]
        names = [str(day.entry(event, school).athlete) for event in day.events]
        assert [line["name"] for line in lines] == names
        others = [str(day.entry(day.events[0], other).athlete) for other in day.schools if other != school]
        assert [name for name in others if name in pack.document or name in pack.csv] == []


def test_no_birth_date_is_in_a_pack(day):
    day.packs()
    born = {str(day.entry(event, school).athlete.born) for event in day.events for school in day.schools}
    texts = [pack.document + pack.csv for pack in SchoolPack.objects.all()]
    assert [date for date in born if any(date in text for text in texts)] == []


def test_without_a_published_result_there_is_no_pack(db):
    made = PublishedDay().packs()
    assert (made.new, made.unchanged) == ((), 3)


def test_made_again_from_the_same_documents_nothing_is_new(day):
    day.packs()
    again = make_packs(meet=day.meet, now=START + timedelta(hours=1))
    assert (again.new, again.unchanged) == ((), 3)
    assert versions(day) == {school.code: [1] for school in day.schools}


def test_a_changed_line_is_a_new_version_that_says_what_changed(day):
    day.in_line()
    sent()
    event = day.events[0]
    day.result(event, changes={1: {"place": 3, "points": "6"}}, status="amended", reason="Typed wrong")
    day.packs()
    assert says(pack_of(day, 1, 2)) == [
        f"Official now: {event.name}.",
        f"{event.name}: Bib 2: place was 2, is now 3.",
        f"{event.name}: Bib 2: points were 7, are now 6.",
    ]


def test_only_schools_whose_own_lines_changed_are_written_to(day):
    for event in day.events:
        day.result(event, status="official", protests_until=None)
    day.in_line()
    sent()
    day.result(day.events[0], changes={1: {"place": 3}}, status="amended", protests_until=None, reason="Typed wrong")
    line = day.in_line()
    assert (line.waiting, line.have_it) == (1, 2)
    # The others have a new version all the same, for whoever prints it: the full result in it is another.
    assert versions(day) == {school.code: [1, 2] for school in day.schools}
    assert states(day)[day.schools[1].code] == [(1, "sent"), (2, "waiting")]
    assert states(day)[day.schools[0].code] == [(1, "sent")]


def test_official_is_news(day):
    day.in_line()
    sent()
    day.result(day.events[0], status="official", protests_until=None)
    assert day.in_line().waiting == 3
    assert says(pack_of(day, 0, 2)) == [f"Official now: {day.events[0].name}."]


def test_what_becomes_official_together_is_one_sentence(day):
    day.in_line()
    sent()
    for event in day.events:
        day.result(event, status="official", protests_until=None)
    day.packs()
    assert says(pack_of(day, 0, 2)) == [f"Official now: {', '.join(event.name for event in day.events)}."]


def test_a_result_that_comes_out_later_is_said_once_and_marked_at_each_line(db):
    day = PublishedDay()
    day.result(day.events[0])
    day.in_line()
    sent()
    day.result(day.events[1])
    day.packs()
    changes = pack_of(day, 0, 2).changes
    name, number = day.events[1].name, day.events[1].pk
    entry = str(day.entry(day.events[1], day.schools[0]).pk)
    assert changes == [
        {"event": None, "entry": "", "says": f"Results are out: {name}."},
        {"event": number, "entry": entry, "says": ""},
    ]


def test_a_pack_that_was_not_sent_is_overtaken_by_the_newer(day):
    day.in_line()
    day.result(day.events[0], changes={0: {"points": "7 1/2"}}, reason="Shared")
    day.in_line()
    assert states(day)[day.schools[0].code] == [(1, "overtaken"), (2, "waiting")]


def test_what_changed_is_since_the_pack_that_the_school_has(day):
    """The second version was never sent, so the third tells of both changes."""
    day.in_line()
    sent()
    first, second = day.events
    day.result(first, changes={0: {"points": "7"}}, reason="Typed wrong")
    day.in_line()
    day.result(second, changes={0: {"points": "6"}}, reason="Typed wrong")
    day.in_line()
    third = pack_of(day, 0, 3)
    assert json.loads(third.document)["since"] == 1
    assert says(third) == [
        f"{first.name}: Bib 1: points were 8, are now 7.",
        f"{second.name}: Bib 1: points were 8, are now 6.",
    ]


def test_what_is_as_the_school_has_it_again_needs_no_letter(day):
    day.in_line()
    sent()
    day.result(day.events[0], changes={0: {"points": "7"}}, reason="Typed wrong")
    day.in_line()
    day.result(day.events[0], reason="It was right")
    day.in_line()
    assert states(day)[day.schools[0].code] == [(1, "sent"), (2, "overtaken")]


def test_the_team_place_is_news_and_other_schools_points_are_not(day):
    day.standings((1, "20"), (2, "15"), (3, "12"))
    day.in_line()
    sent()
    day.standings((1, "20"), (2, "15 1/2"), (3, "12"), version=2)
    assert day.in_line().waiting == 1
    assert says(pack_of(day, 1, 2)) == ["Team: was place 2 of 3, 15 points, is now place 2 of 3, 15½ points."]


def test_who_goes_through_stands_in_the_pack(day):
    NextMeetFactory(meet=day.meet, places=1, reply_to="jumps@example.org")
    day.packs()
    going = json.loads(pack_of(day, 0).document)["next_meet"]
    assert [one["event"] for one in going["going"]] == [event.name for event in day.events]
    assert going["reply_by"] == "2027-06-19"
    assert json.loads(pack_of(day, 1).document)["next_meet"]["going"] == []


def test_a_trial_under_protest_and_an_owed_wind_are_open(day):
    first, second = day.events
    day.result(first, changes={0: {"series": [trial(1, 543, 14), trial(2, "held")]}}, reason="Protest")
    day.result(second, changes={0: {"series": [trial(1, 543, "owed"), trial(2, 500, "owed")]}}, reason="Winds")
    day.packs()
    assert json.loads(pack_of(day, 0).document)["open"] == [
        f"{first.name}, bib 1: round 2 is under protest.",
        f"{second.name}, bib 1: the winds of rounds 1, 2 are still to come.",
    ]
    assert json.loads(pack_of(day, 1).document)["open"] == [
        f"{first.name}: a trial of another school is under protest, so places may change."
    ]


def test_a_school_without_an_address_is_named_and_gets_its_letter_once_it_has_one(day):
    school = day.schools[2]
    school.contact_email = ""
    school.save()
    line = day.in_line()
    assert (line.waiting, line.no_address) == (2, 1)
    school.contact_email = "office@example.org"
    school.save()
    put_in_line(meet=day.meet, now=START)
    mailing = Mailing.objects.get(pack__school=school)
    assert (mailing.state, mailing.address) == ("waiting", "office@example.org")


def test_an_entry_of_another_school_with_the_same_code_in_a_document_is_not_taken_for_its_own(day):
    """Whose athlete it is decides, not what is written beside the name."""
    event, (first, second, _third) = day.events[0], day.schools
    day.result(event, changes={1: {"school": {"code": first.code, "name": first.name}}}, reason="Code")
    day.packs()
    assert len(json.loads(pack_of(day, 0).document)["events"][0]["lines"]) == 1
    assert str(day.entry(event, second).athlete) not in pack_of(day, 0).document


def test_a_letter_that_somebody_broke_off_is_unsure_after_a_time_and_stays_so(day):
    day.in_line()
    mailing = Mailing.objects.first()
    Mailing.objects.filter(pk=mailing.pk).update(state="sending", tried_at=START)
    for minutes, state in ((9, "sending"), (11, "unsure"), (50, "unsure")):
        put_in_line(meet=day.meet, now=START + timedelta(minutes=minutes))
        mailing.refresh_from_db()
        assert mailing.state == state


def test_the_organiser_says_what_became_of_an_unsure_letter(day):
    day.in_line()
    first, second, _third = Mailing.objects.order_by("pk")
    Mailing.objects.update(state="unsure")
    has_arrived(mailing=first, by="O. Rganiser", now=START)
    send_again(mailing=second, now=START)
    assert [one.state for one in Mailing.objects.order_by("pk")] == ["sent", "waiting", "unsure"]
    with pytest.raises(Refusal, match="clear"):
        has_arrived(mailing=first, by="O. Rganiser", now=START)


def test_sent_again_to_a_new_address_it_is_another_letter(day):
    day.in_line()
    sent()
    mailing = Mailing.objects.first()
    school = mailing.pack.school
    school.contact_email = "new@example.org"
    school.save()
    other = send_again(mailing=Mailing.objects.get(pk=mailing.pk), now=START)
    assert (other.pk != mailing.pk, other.address, other.state) == (True, "new@example.org", "waiting")
    assert other.message_id != mailing.message_id


@pytest.mark.parametrize(
    ("state", "newer", "address", "why"),
    [
        ("sending", False, "a@example.org", "just now"),
        ("sent", True, "a@example.org", "newer"),
        ("sent", False, "", "no address"),
    ],
)
def test_a_letter_is_not_sent_again_where_that_is_wrong(day, state, newer, address, why):
    day.in_line()
    mailing = Mailing.objects.first()
    Mailing.objects.filter(pk=mailing.pk).update(state=state, tried_at=START, address="a@example.org")
    school = mailing.pack.school
    school.contact_email = address
    school.save()
    if newer:
        day.result(day.events[0], changes={n: {"points": "1"} for n in range(3)}, reason="Typed wrong")
        day.packs()
    with pytest.raises(Refusal, match=why):
        send_again(mailing=Mailing.objects.get(pk=mailing.pk), now=START)


@pytest.mark.parametrize("schools", [1, 3])
def test_looking_whether_packs_have_changed_asks_as_often_for_one_school_as_for_three(
    db, django_assert_num_queries, schools
):
    day = PublishedDay(schools=schools).all_results()
    day.packs()
    with django_assert_num_queries(7):
        day.packs()
