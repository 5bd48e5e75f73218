"""The desk's pages of record books, claims, standards and the next meet."""

import json
import re
from datetime import date

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from meets.models import NextMeet, Record, RecordBook, RecordClaim, Standard
from meets.records.actions import claims_from
from meets.records.standard_file import read_file
from meets.running import actions
from tests.factories import (
    EventFactory,
    MeetFactory,
    NextMeetFactory,
    RecordBookFactory,
    RecordClaimFactory,
    RecordFactory,
    SchoolFactory,
    StandardFactory,
)
from tests.meets.publishing.documents import document, line, published, trial
from tests.meets.records.jumping import DESK, KIND, NOW, book, correct, event, jump, key

pytestmark = pytest.mark.django_db
NAMES = {"board": "J. Udge", "measured": "M. Easurer", "wind": "G. Auge", "decision": ""}


@pytest.fixture
def found():
    return event(slug="spring-jumps")


def at(found, name, *more):
    return reverse(f"desk:{name}", args=[found.meet.slug, *more])


def text_of(answer):
    return " ".join(re.sub(r"<[^>]*>", " ", answer.content.decode()).split())


def seen_in(answer):
    return answer.context["form"]["seen"].value()


# Claims


def test_the_page_says_what_is_waiting_and_why_marks_are_no_claims(desk_client, found):
    book(found, 540)
    jump(found, {"1": "5.43+1.0 5.44NWI x"})
    page = text_of(desk_client.get(at(found, "records")))
    assert "U15 girls long jump: 1 mark is not put forward yet." in page
    assert "5.44 would beat the district record 5.40: no wind information." in page
    assert "No mark of this meet beats or equals a record of these books so far." in page


def test_claims_are_brought_up_to_date_by_a_button_and_listed(desk_client, found):
    book(found, 540)
    jump(found, {"1": "5.43+1.0"})
    answer = desk_client.post(at(found, "renew_claims"), follow=True)
    assert [str(message) for message in answer.context["messages"]] == ["1 claim is put forward."]
    (row,) = [row.record for row in answer.context["claims"].rows]
    assert (row.bib, row.mark, row.wind, row.what, row.state_words) == (
        "1", "5.43", "+1.0", "beats the district record", "open",
    )  # fmt: skip
    assert answer.context["page"].waiting == ()
    correct(found, "1", 1, "5.34")
    page = text_of(desk_client.get(at(found, "records")))
    assert "1 claim is no longer as the result stands." in page
    answer = desk_client.post(at(found, "renew_claims"), follow=True)
    assert "0 claims are put forward. 1 claim is withdrawn." in text_of(answer)


@pytest.fixture
def claim(found):
    book(found, 540)
    jump(found, {"1": "5.43+1.0 5.50+0.3"})
    claims_from(found, NOW, "O")
    return RecordClaim.objects.get(mark=543)


def test_a_claim_shows_what_is_decided_on(desk_client, found, claim):
    page = text_of(desk_client.get(at(found, "claim", claim.pk)))
    assert "To be beaten 5.40 +0.6, Edda Hobbeck, Mirefold High, 2010" in page
    assert "Trial round 1" in page
    assert "Series 5.43(+1.0) 5.50(+0.3)" in page
    assert "Longer ones came later in this event: 5.50 by bib 1" in page


def test_a_claim_is_approved_with_the_names_of_officials(desk_client, found, claim):
    address = at(found, "claim", claim.pk)
    sent = {**NAMES, "seen": seen_in(desk_client.get(address)), "decide": "approve"}
    answer = desk_client.post(address, sent, follow=True)
    assert [str(message) for message in answer.context["messages"]] == ["The record is in the book."]
    assert "Approved" in text_of(answer)
    claim.refresh_from_db()
    assert (claim.state, claim.record.mark, claim.wind_confirmed_by) == ("approved", 543, "G. Auge")


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"wind": "", "decide": "approve"}, "Not confirmed yet: the wind."),
        ({"decide": "refuse"}, "A refusal needs its reason."),
        ({}, "Press one of the two buttons: approve or refuse."),
    ],
)
def test_what_is_missing_is_said_and_nothing_stored(desk_client, found, claim, changes, says):
    answer = desk_client.post(at(found, "claim", claim.pk), {**NAMES, **changes})
    assert (answer.status_code, says in text_of(answer)) == (422, True)
    assert list(RecordClaim.objects.values_list("state", flat=True)) == ["open", "open"]


def test_a_claim_that_somebody_has_decided_meanwhile_is_not_decided_again(desk_client, found, claim):
    address = at(found, "claim", claim.pk)
    seen = seen_in(desk_client.get(address))
    RecordClaim.objects.filter(pk=claim.pk).update(state="refused", decision="wrong board")
    answer = desk_client.post(address, {**NAMES, "seen": seen, "decide": "approve"})
    assert answer.status_code == 422
    assert "Somebody has changed this since you opened the page" in str(answer.context["form"].non_field_errors())
    assert not Record.objects.filter(mark=543).exists()


def test_a_claim_that_no_longer_stands_says_so(desk_client, found, claim):
    actions.disqualify(event_id=found.pk, entry=key(found, "1"), reason="not eligible", **DESK)
    page = text_of(desk_client.get(at(found, "claim", claim.pk)))
    assert "Cannot be approved now As the result stands: disqualified: not eligible." in page


# Books


def test_a_book_is_made_and_used_at_the_meet(desk_client, found):
    sent = {"name": "Vale records", "level": "district", "unit": "cm", "school": "", "needs_wind": "on"}
    answer = desk_client.post(at(found, "new_record_book"), sent)
    made = RecordBook.objects.get()
    assert (answer.url, list(made.meets.all()), made.needs_wind) == (
        at(found, "record_book", made.pk), [found.meet], True,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("level", "of_school", "says"),
    [("school", False, "Say whose records they are."), ("meet", True, "Only school records have a school.")],
)
def test_a_book_of_a_school_says_which(desk_client, found, level, of_school, says):
    school = SchoolFactory().pk if of_school else ""
    sent = {"name": "Records", "level": level, "unit": "cm", "school": school}
    answer = desk_client.post(at(found, "new_record_book"), sent)
    assert (answer.status_code, answer.context["form"].errors["school"]) == (422, [says])
    assert not RecordBook.objects.exists()


def test_the_meaning_of_a_book_with_records_stays(desk_client, found):
    made = book(found, 540)
    sent = {"name": "Renamed", "level": "meet", "unit": "quarter-inch"}
    desk_client.post(at(found, "change_record_book", made.pk), sent)
    made.refresh_from_db()
    assert (made.name, made.level, made.unit, made.needs_wind) == ("Renamed", "district", "cm", False)


def test_a_change_of_a_book_on_an_old_page_is_refused(desk_client, found):
    made = book(found)
    address = at(found, "change_record_book", made.pk)
    seen = seen_in(desk_client.get(address))
    RecordBook.objects.filter(pk=made.pk).update(name="Another name")
    answer = desk_client.post(address, {"name": "Mine", "level": "district", "unit": "cm", "seen": seen})
    assert (answer.status_code, answer.context["form"].overtaken) == (422, True)


def test_the_book_shows_what_stands_its_history_and_what_was_taken_out(desk_client, found):
    made = book(found, 520, 540)
    RecordFactory(
        book=made, mark=560, year=2022, taken_out_at=NOW, taken_out_by="O", taken_out_reason="typed wrong", **KIND
    )
    answer = desk_client.get(at(found, "record_book", made.pk))
    lines = [row.record for row in answer.context["table"].rows]
    assert [(line.event, line.mark, line.status) for line in lines] == [
        ("U15 girls long jump", "5.40", "stands"), ("", "5.20", "beaten"), ("", "5.60", "taken out by O: typed wrong"),
    ]  # fmt: skip


def new_record(**changes):
    return {
        "discipline": "LJ", "category": "girls", "age_group": "U15", "mark": "5.60", "wind_tenths": "+1.2",
        "holder": "Nell Brindlow", "school": "Ostlerby College", "year": "2024", "set_on": "", "venue": "", **changes,
    }  # fmt: skip


def test_a_record_is_typed_in(desk_client, found):
    made = book(found)
    desk_client.post(at(found, "new_record", made.pk), new_record())
    assert made.records.values_list("mark", "wind_tenths", "holder", "year").get() == (560, 12, "Nell Brindlow", 2024)


@pytest.mark.parametrize(
    ("changes", "field", "says"),
    [
        ({"mark": "5.6"}, "mark", '"5.6" is no distance; expected two decimals, for example 5.40.'),
        ({"mark": "-"}, "mark", "The mark is missing."),
        ({"wind_tenths": "2"}, "wind_tenths",
         '"2" is no wind reading; expected one decimal with its sign, for example +1.4, or NWI.'),
        ({"wind_tenths": "+2.3"}, "wind_tenths",
         "With this wind it is no record in this book, which needs a legal one."),
        ({"set_on": "2023-06-01"}, "set_on", "The date lies in another year than 2024."),
        ({"mark": "5.40", "holder": "Edda Hobbeck", "year": "2010"}, "__all__",
         "This record stands in the book already."),
    ],
)  # fmt: skip
def test_a_record_that_cannot_be_is_refused_with_a_sentence(desk_client, found, changes, field, says):
    made = book(found, 540)
    answer = desk_client.post(at(found, "new_record", made.pk), new_record(**changes))
    assert (answer.status_code, answer.context["form"].errors) == (422, {field: [says]})
    assert made.records.count() == 1


def test_a_record_is_taken_out_with_a_reason(desk_client, found):
    made = book(found, 520, 540)
    record = made.records.get(mark=540)
    address = at(found, "take_out_record", made.pk, record.pk)
    assert desk_client.post(address, {"reason": ""}).status_code == 422
    desk_client.post(address, {"reason": "the tape was short"})
    record.refresh_from_db()
    assert record.taken_out_reason == "the tape was short"
    answer = desk_client.post(address, {"reason": "again"})
    assert (answer.status_code, "taken out already" in text_of(answer)) == (422, True)


def test_a_book_of_another_year_is_used_here_and_left_out_again(desk_client, found):
    made = RecordBookFactory()
    assert made.name in text_of(desk_client.get(at(found, "records")))
    desk_client.post(at(found, "use_record_book"), {"book": made.pk, "used": "yes"})
    assert list(made.meets.all()) == [found.meet]
    desk_client.post(at(found, "use_record_book"), {"book": made.pk, "used": "no"})
    assert list(made.meets.all()) == []
    assert desk_client.post(at(found, "use_record_book"), {"book": "x", "used": "yes"}).status_code == 404


def test_a_book_with_claims_of_the_meet_stays(desk_client, found, claim):
    answer = desk_client.post(at(found, "use_record_book"), {"book": claim.book_id, "used": "no"}, follow=True)
    assert f"{claim.book.name} has claims of this meet and stays with it." in text_of(answer)
    assert claim.book.meets.count() == 1


# Standards


def lines_sent(*lines, **more):
    names = ("name", "discipline", "category", "age_group", "mark")
    sent = {
        f"{name}_{number}": value
        for number, line in enumerate(lines, 1)
        for name, value in zip(names, line, strict=True)
    }
    return {"rows": str(len(lines)), **sent, **more}


def stored(found):
    rows = Standard.objects.filter(meet=found.meet).order_by("pk")
    return list(rows.values_list("name", "discipline", "category", "age_group", "mark"))


BRONZE = ("Bronze", "LJ", "girls", "U15", "4.10")
SILVER = ("Silver", "LJ", "girls", "U15", "4.40")
EMPTY = ("", "", "", "", "")


def test_standards_are_typed_into_a_table(desk_client, found):
    answer = desk_client.post(at(found, "standards"), lines_sent(BRONZE, SILVER, EMPTY), follow=True)
    assert [str(message) for message in answer.context["messages"]] == ["Stored: 2 new, 0 changed, 0 removed."]
    assert stored(found) == [("Bronze", "LJ", "girls", "U15", 410), ("Silver", "LJ", "girls", "U15", 440)]
    assert len(answer.context["form"].lines()) == 7
    answer = desk_client.post(at(found, "standards"), lines_sent(("Bronze", "LJ", "girls", "U15", "4.20"), EMPTY))
    assert stored(found) == [("Bronze", "LJ", "girls", "U15", 420)]


def test_with_one_line_wrong_nothing_is_stored(desk_client, found):
    answer = desk_client.post(at(found, "standards"), lines_sent(BRONZE, ("Silver", "", "", "", "4.4")))
    errors = answer.context["form"].errors
    assert (answer.status_code, stored(found)) == (422, [])
    assert errors == {
        "discipline_2": ["The jump is missing; expected long jump or triple jump."],
        "mark_2": ['"4.4" is no distance; expected two decimals, for example 5.40.'],
    }


def test_steps_that_do_not_ascend_are_stored_with_a_warning(desk_client, found):
    low = ("Silver", "LJ", "girls", "U15", "4.00")
    answer = desk_client.post(at(found, "standards"), lines_sent(BRONZE, low), follow=True)
    assert "Silver (4.00, U15 girls long jump) is no longer than Bronze (4.10) before it." in text_of(answer)
    assert len(stored(found)) == 2


def test_standards_changed_by_somebody_else_meanwhile_are_not_overwritten(desk_client, found):
    seen = seen_in(desk_client.get(at(found, "standards")))
    StandardFactory(meet=found.meet, name="Gold", mark=500)
    answer = desk_client.post(at(found, "standards"), lines_sent(BRONZE, seen=seen))
    assert (answer.status_code, answer.context["form"].overtaken) == (422, True)
    assert [row[0] for row in stored(found)] == ["Gold"]


def file_of(text):
    return SimpleUploadedFile("standards.csv", text.encode(), "text/csv")


def test_standards_from_a_file_are_added_or_replace_all(desk_client, found):
    StandardFactory(meet=found.meet, name="Gold", mark=500)
    text = "Standard,Jump,For,Age group,Mark\nBronze,long jump,girls,U15,4.10\n"
    desk_client.post(at(found, "standards_file"), {"file": file_of(text)})
    assert [row[0] for row in stored(found)] == ["Gold", "Bronze"]
    desk_client.post(at(found, "standards_file"), {"file": file_of(text), "replace": "on"})
    assert [row[0] for row in stored(found)] == ["Bronze"]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("Standard,Jump,Mark\nBronze,LJ,4.10\nSilver,LJ,x\n",
         "standards.csv, line 3, column Mark: &quot;x&quot; is no distance"),
        ("Standard,Jump,Mark\n", "There is no standard in it."),
        ("Standard,Mark\nBronze,4.10\n", "do not name a column for: Jump"),
    ],
)  # fmt: skip
def test_a_file_with_anything_wrong_is_refused_as_a_whole(desk_client, found, text, says):
    answer = desk_client.post(at(found, "standards_file"), {"file": file_of(text)})
    assert (answer.status_code, says in answer.content.decode(), stored(found)) == (422, True, [])


def test_more_standards_than_a_page_holds_are_refused_and_none_stored(desk_client, found):
    lines = "".join(f"Step {number},LJ,4.10\n" for number in range(501))
    answer = desk_client.post(at(found, "standards_file"), {"file": file_of(f"Standard,Jump,Mark\n{lines}")})
    assert (answer.status_code, answer.context["problems"]) == (422, ["A meet has at most 500 standards."])
    assert stored(found) == []


# Next meet


def next_meet(**changes):
    return {
        "name": "County jumps", "date": "2027-07-03", "venue": "", "places": "2", "standard": "",
        "reply_by": "2027-06-19", "reply_to": "", **changes,
    }  # fmt: skip


def test_the_next_meet_is_set_changed_and_removed(desk_client, found):
    desk_client.post(at(found, "next_meet"), next_meet())
    assert NextMeet.objects.values_list("name", "date", "places").get() == ("County jumps", date(2027, 7, 3), 2)
    seen = seen_in(desk_client.get(at(found, "next_meet")))
    assert json.loads(seen)["Name"] == "County jumps"
    NextMeet.objects.update(places=3)
    answer = desk_client.post(at(found, "next_meet"), next_meet(name="Mine", seen=seen))
    assert (answer.status_code, answer.context["form"].overtaken) == (422, True)
    desk_client.post(at(found, "forget_next_meet"))
    assert not NextMeet.objects.exists()


@pytest.mark.parametrize(
    ("changes", "field", "says"),
    [
        ({"date": "2027-06-12", "reply_by": ""}, "date", "The next meet comes after this one, on 12 June 2027."),
        ({"reply_by": "2027-07-04"}, "reply_by", "That is after the next meet itself."),
        ({"places": "0"}, "places", "Say how one qualifies: by a number of places, by a standard, or by both."),
    ],
)
def test_a_next_meet_that_cannot_be_is_refused(desk_client, found, changes, field, says):
    answer = desk_client.post(at(found, "next_meet"), next_meet(**changes))
    assert (answer.status_code, answer.context["form"].errors) == (422, {field: [says]})


def test_who_goes_on_is_listed_by_school_from_published_results(desk_client, found):
    NextMeetFactory(meet=found.meet, places=1)
    lines = [line("1", "1", [trial(1, 543, 3)], place=1), line("2", "2", [trial(1, 500, 3)], place=2)]
    published(found, document(event={"number": found.pk, "name": found.name}, lines=lines))
    answer = desk_client.get(at(found, "next_meet"))
    ((school, table),) = answer.context["schools"]
    assert (school, [(row.record.bib, row.record.says) for row in table.rows]) == (
        "Thornwick School", [("1", "place 1")],
    )  # fmt: skip
    assert "Still provisional: U15 girls long jump." in text_of(answer)


# Queries


@pytest.mark.parametrize("rows", [1, 3])
def test_the_pages_ask_no_more_for_more_rows(desk_client, found, django_assert_num_queries, rows):
    jump(found, {"1": "5.43+1.0 5.44+0.0", "2": "5.50+1.0"})
    for number in range(rows):
        made = book(found, *range(500, 500 + rows))
        claim = RecordClaimFactory(book=made, event=found, entry=found.entries.first(), turn=f"{number}-1-0")
        RecordBookFactory()
        StandardFactory(meet=found.meet)
    for name, more, asked in (
        ("records", (), 12), ("record_book", (made.pk,), 5), ("claim", (claim.pk,), 17), ("standards", (), 4),
    ):  # fmt: skip
        desk_client.get(at(found, name, *more))
        with django_assert_num_queries(asked, info=name):
            desk_client.get(at(found, name, *more))


# Head winds


def test_head_winds_have_a_minus_sign_where_people_read_them(desk_client, found):
    made = book(found, 540)
    made.records.update(wind_tenths=-12)
    jump(found, {"1": "5.43-0.6"})
    claims_from(found, NOW, "A. Organiser")
    claim = RecordClaim.objects.get()
    pages = {
        "records": at(found, "records"),
        "claim": at(found, "claim", claim.pk),
        "book": at(found, "record_book", made.pk),
        "event": reverse("desk:event", args=[found.meet.slug, found.pk]),
        "log": reverse("desk:log", args=[found.meet.slug, found.pk]),
    }
    texts = {name: text_of(desk_client.get(address)) for name, address in pages.items()}
    assert {name: [wind in text for wind in ("−0.6", "−1.2", "-0.6", "-1.2")] for name, text in texts.items()} == {
        "records": [True, False, False, False],
        "claim": [True, True, False, False],
        "book": [False, True, False, False],
        "event": [True, False, False, False],
        "log": [True, False, False, False],
    }


# The example of a file


@pytest.mark.parametrize("unit", ["cm", "quarter-inch"])
@pytest.mark.parametrize(
    ("events", "lines"),
    [
        ([], [("Bronze", "LJ", "girls", ""), ("Silver", "LJ", "girls", ""), ("Bronze", "LJ", "", "")]),
        ([("TJ", "boys", "U17")], [("Bronze", "TJ", "boys", "U17"), ("Silver", "TJ", "boys", "U17"),
                                   ("Bronze", "TJ", "", "")]),
        ([("TJ", "mixed", "Seniors"), ("LJ", "mixed", "U13")],
         [("Bronze", "LJ", "mixed", "U13"), ("Silver", "LJ", "mixed", "U13"), ("Bronze", "TJ", "", "")]),
        ([("LJ", "girls", "Seniors")],
         [("Bronze", "LJ", "girls", ""), ("Silver", "LJ", "girls", ""), ("Bronze", "LJ", "", "")]),
    ],
)  # fmt: skip
def test_the_example_is_of_the_meet_and_can_be_sent_as_it_stands(desk_client, unit, events, lines):
    meet = MeetFactory(unit=unit)
    for discipline, category, group in events:
        EventFactory(meet=meet, discipline=discipline, category=category, age_group=group)
    page = desk_client.get(reverse("desk:standards_file", args=[meet.slug]))
    rows = ["Standard;Jump;For;Age group;Mark", *(";".join(row) for row in page.context["example"])]
    given = read_file("standards.csv", "\n".join(rows).encode(), meet)
    assert (given.problems, given.warnings) == ((), ())
    assert [(one.name, one.discipline, one.category, one.age_group) for one in given.standards] == lines
    assert [mark in text_of(page) for *_words, mark in page.context["example"]] == [True] * 3
