"""The pages as the organiser meets them."""

import re
from datetime import UTC, date, datetime

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from athletes.models import Athlete, School
from meets.models import Entry, Event
from tests.factories import AthleteFactory, EntryFactory, EventFactory, LogRowFactory, OrganiserFactory
from tests.meets.entries.conftest import DATA

MESSY = "entries_messy.csv"


@pytest.fixture(autouse=True)
def data_folder(settings, tmp_path):
    settings.DATA_DIR = tmp_path
    return tmp_path


@pytest.fixture
def at(meet):
    return lambda name, *args: reverse(f"entries:{name}", args=[meet.slug, *args])


def upload(client, at, name=MESSY, data=None):
    file = SimpleUploadedFile(name, (DATA / name).read_bytes() if data is None else data)
    return client.post(at("upload"), {"file": file})


def seen_on(page):
    return re.search(r'name="seen" value="(\w+)"', page.content.decode())[1]


def text_of(response):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode())).strip()


def test_a_file_goes_from_upload_over_check_to_store(desk_client, at, data_folder):
    checked = upload(desk_client, at)
    assert checked.status_code == 302
    page = desk_client.get(checked.url)
    assert "28 lines under the headings. Nothing is stored yet." in text_of(page)
    assert Entry.objects.count() == 0

    accept = checked.url + "accept/"
    done = desk_client.post(accept, {"seen": seen_on(page), "consented": ["12"], "left_out": ["13", "22"]})
    assert done.url == checked.url + "stored/"
    assert Entry.objects.count() == 10
    stored = desk_client.get(done.url)
    assert "10 entries are stored" in text_of(stored)

    problems = desk_client.get(checked.url + "problems/")
    assert problems["Content-Disposition"] == 'attachment; filename="entries_messy problems.csv"'
    assert b"12,stored," in problems.content
    assert b"22,left out," in problems.content
    assert [path.read_bytes() for path in (data_folder / "uploads").iterdir()] == [problems.content]
    assert desk_client.get(checked.url).url == done.url
    assert desk_client.post(accept, {"seen": seen_on(page)}).url == done.url
    assert Entry.objects.count() == 10


def test_the_check_page_shows_every_line(desk_client, at):
    page = desk_client.get(upload(desk_client, at).url)
    shown = [int(number) for number in re.findall(r'data-label="Line">(\d+)<', page.content.decode())]
    assert sorted([*shown, 17]) == list(range(2, 30))
    assert "Lines 17" in text_of(page)
    assert "&quot;31/02/2012&quot; is no date; expected day/month/year." in page.content.decode()
    assert "=HYPERLINK(&quot;x&quot;)" in page.content.decode()


def test_a_filter_shows_and_stores_what_fits(desk_client, at):
    address = upload(desk_client, at).url
    page = desk_client.get(address, {"school": "KES"})
    shown = [int(number) for number in re.findall(r'data-label="Line">(\d+)<', page.content.decode())]
    assert shown == [24, 26, 23, 22, 25]
    desk_client.post(address + "accept/", {"seen": seen_on(page), "school": "KES"})
    assert set(Entry.objects.values_list("athlete__school__code", flat=True)) == {"KES"}


def test_boxes_stay_ticked_when_storing_is_refused(desk_client, at):
    address = upload(desk_client, at).url
    again = desk_client.post(address + "accept/", {"seen": "x" * 64, "consented": ["12"], "left_out": ["13"]})
    assert (again.status_code, Entry.objects.count()) == (422, 0)
    assert "Something has changed since this page was made." in text_of(again)
    ticked = re.findall(r'name="(\w+)" value="(\d+)" checked', again.content.decode())
    assert ticked == [("consented", "12"), ("left_out", "13")]


@pytest.mark.parametrize("sent", [{}, {"seen": "x", "left_out": ["2; drop"]}, {"seen": "x", "verdict": "nonsense"}])
def test_what_no_page_sends_stores_nothing(desk_client, at, sent):
    address = upload(desk_client, at).url
    assert desk_client.post(address + "accept/", sent).status_code == 422
    assert Entry.objects.count() == 0


def test_a_file_that_cannot_be_read_is_refused_on_the_upload_page(desk_client, at, data_folder):
    response = upload(desk_client, at, data="School;First name\r\nMAR;Renée\r\n".encode("latin-1"))
    assert response.status_code == 422
    assert "entries_messy.csv, line 2, column First name: this is not UTF-8 text" in text_of(response)
    assert not (data_folder / "uploads").exists()


@pytest.mark.parametrize("data", [b"", b"a" * (5 * 1024 * 1024 + 1), b"Name,Name\n1,2\n", b"%PDF-1.7", b"x"])
def test_every_other_bad_file_is_refused_in_the_same_way(desk_client, at, data):
    assert upload(desk_client, at, data=data).status_code == 422


@pytest.mark.parametrize("name", ["list", "upload", "new"])
def test_pages_come_without_complaint(desk_client, at, name):
    page = desk_client.get(at(name))
    assert (page.status_code, 'class="wrong"' in page.content.decode()) == (200, False)


def test_no_file_is_said(desk_client, at):
    response = desk_client.post(at("upload"), {})
    assert (response.status_code, "Choose a file first." in text_of(response)) == (422, True)


def test_the_upload_of_another_session_is_not_shown(desk_client, at, client):
    address = upload(desk_client, at).url
    desk_client.logout()
    desk_client.force_login(OrganiserFactory())
    for path in ("", "problems/", "stored/"):
        response = desk_client.get(address + path)
        assert (response.status_code, response.url) == (302, at("upload"))
    for path in ("accept/", "schools/"):
        assert desk_client.post(address + path, {"seen": "x"}).url == at("upload")
    assert Entry.objects.count() == 0


def test_a_file_can_be_removed_unstored(desk_client, at, data_folder):
    address = upload(desk_client, at).url
    assert desk_client.post(address + "forget/").url == at("upload")
    assert list((data_folder / "uploads").iterdir()) == []
    assert desk_client.get(address).url == at("upload")


def test_the_empty_file_for_schools_names_the_columns_and_is_read_back(desk_client, at):
    answer = desk_client.get(at("empty_file"))
    assert answer["Content-Disposition"] == 'attachment; filename="District meet entries.csv"'
    assert answer.content.decode("utf-8-sig") == (
        "School code,School,First name,Surname,Date of birth,Sex,Event,String,Best,Board,Name not shown\r\n"
    )
    line = "MAR,,Orla,Elmsall,07/12/2013,F,U15 Girls Long Jump,A,4.12,,yes\r\n"
    page = desk_client.get(upload(desk_client, at, data=answer.content + line.encode()).url)
    assert [(line.wanted.name, line.wanted.not_public) for line in page.context["checked"].lines] == [
        ("Orla Elmsall", True)
    ]


def test_unknown_schools_can_be_added_from_the_check_page(desk_client, at):
    text = (DATA / "district_entries.csv").read_text().replace("MAR,Marrowdale Academy", "XYZ,Far Away School")
    address = upload(desk_client, at, data=text.encode()).url
    assert "Far Away School (XYZ)" in text_of(desk_client.get(address))
    desk_client.post(address + "schools/", {"code": ["XYZ", "not offered"]})
    assert School.objects.get(code="XYZ").name == "Far Away School"
    assert School.objects.count() == 10
    assert "Far Away School (XYZ)" not in text_of(desk_client.get(address))


def test_late_entries_are_confirmed_by_the_organiser(desk_client, at, meet):
    meet.entry_deadline = datetime(2026, 6, 1, 18, 0, tzinfo=UTC)
    meet.save()
    address = upload(desk_client, at).url
    page = desk_client.get(address)
    assert "Entries closed on 1 June 2026, 19:00. I take these late ones." in text_of(page)
    assert desk_client.post(address + "accept/", {"seen": seen_on(page)}).status_code == 422
    assert Entry.objects.count() == 0
    desk_client.post(address + "accept/", {"seen": seen_on(page), "confirm_late": "on"})
    assert Entry.objects.count() == 11


def test_a_long_group_is_shown_in_part_and_said(desk_client, at, meet, monkeypatch):
    monkeypatch.setattr("meets.entries.reads.SHOWN_OF_A_GROUP", 20)
    page = desk_client.get(upload(desk_client, at, "district_entries.csv").url)
    assert "151 lines more of this kind are treated alike." in text_of(page)


def test_the_list_can_be_narrowed(desk_client, at, meet):
    event = Event.objects.get(meet=meet, name="U15 Girls Long Jump")
    orla = AthleteFactory(first_name="Orla", last_name="Elmsall", school=School.objects.get(code="MAR"))
    EntryFactory(event=event, athlete=orla, bib="7")
    other = EntryFactory(event=Event.objects.get(meet=meet, name="U15 Girls Triple Jump"), bib="8")
    for query in ({"event": event.pk}, {"school": orla.school_id}):
        text = text_of(desk_client.get(at("list"), query))
        assert ("Orla Elmsall" in text, str(other.athlete) in text) == (True, False)
    for words in ("elms", "ORLA elmsall", "7"):
        text = text_of(desk_client.post(at("list"), {"words": words}))
        assert ("Orla Elmsall" in text, str(other.athlete) in text) == (True, False)
    nobody = text_of(desk_client.post(f"{at('list')}?event={other.event_id}", {"words": "elms"}))
    assert "No entry fits." in nobody


def test_a_name_that_is_looked_for_stands_in_no_address(desk_client, at, meet):
    """Addresses are kept by the server's log and by the browser."""
    entry = EntryFactory(event=meet.events.first(), athlete__last_name="Elmsall")
    address = f"{at('list')}?event={entry.event_id}&sort=name"
    page = desk_client.post(address, {"words": "Elmsall"})
    content = page.content.decode()
    assert page.status_code == 200
    assert [found for found in re.findall(r'(?:href|action)="([^"]*)"', content) if "elmsall" in found.lower()] == []
    assert f'value="{entry.event_id}" selected' in content
    forms = re.findall(r"<form[^>]*search[^>]*>.*?</form>", content, re.DOTALL)
    assert [('method="post"' in form, 'name="words"' in form) for form in forms] == [(False, False), (True, True)]
    asked = desk_client.get(at("list"), {"words": "nobody", "q": "nobody"})
    assert str(entry.athlete) in text_of(asked)


def test_looking_for_a_name_needs_the_pages_own_token(meet, at):
    client = Client(enforce_csrf_checks=True)
    client.force_login(OrganiserFactory())
    assert client.post(at("list"), {"words": "Elmsall"}).status_code == 403


def test_a_word_in_half_of_the_names_shows_the_first_of_them(desk_client, at, meet, monkeypatch):
    monkeypatch.setattr("meets.entries.views.MOST_FOUND", 2)
    EntryFactory.create_batch(3, event=meet.events.first(), athlete__last_name="Elmsall")
    page = desk_client.post(at("list"), {"words": "elm"})
    assert "3 entries; the first 2 are shown. Another word finds fewer." in text_of(page)
    assert len(page.context["table"].rows) == 2


def test_the_list_shows_no_birth_date(desk_client, at, meet):
    EntryFactory(event=meet.events.first(), athlete__born=date(2012, 12, 7))
    page = desk_client.get(at("list")).content.decode()
    assert ("2012" in page, "12-07" in page, "07/12" in page, "7 Dec" in page) == (True, False, False, False)


def test_queries_of_the_list_do_not_grow(
    desk_client, at, meet, django_assert_num_queries, django_assert_max_num_queries
):
    event = meet.events.first()
    EntryFactory(event=event)
    with django_assert_max_num_queries(12) as seen:
        desk_client.get(at("list"))
    EntryFactory.create_batch(3, event=event)
    with django_assert_num_queries(len(seen.captured_queries)):
        desk_client.get(at("list"))


def test_queries_of_the_check_do_not_grow(desk_client, at, django_assert_num_queries, django_assert_max_num_queries):
    heading, *lines = (DATA / "district_entries.csv").read_text().splitlines(keepends=True)
    one = upload(desk_client, at, data=(heading + lines[0]).encode()).url
    three = upload(desk_client, at, data=(heading + "".join(lines[:3])).encode()).url
    with django_assert_max_num_queries(15) as seen:
        desk_client.get(one)
    with django_assert_num_queries(len(seen.captured_queries)):
        desk_client.get(three)


def test_bibs_are_given_from_the_list(desk_client, at, meet):
    EntryFactory(event=meet.events.first(), bib="")
    assert "1 entry has no bib yet." in text_of(desk_client.get(at("list")))
    desk_client.post(at("bibs"))
    assert list(Entry.objects.values_list("bib", flat=True)) == ["1"]


NEW = {
    "code": "MAR",
    "event": "U15 Girls Long Jump",
    "first_name": "orla",
    "last_name": "ELMSALL",
    "born": "2012-12-07",
    "sex": "F",
    "best": "4.75",
}


def test_one_entry_is_added(desk_client, at):
    assert desk_client.post(at("new"), NEW).url == at("list")
    assert desk_client.post(at("new"), NEW | {"first_name": "Bea", "another": "yes"}).url == at("new")
    assert [str(entry.athlete) for entry in Entry.objects.order_by("pk")] == ["Orla Elmsall", "Bea Elmsall"]


def test_what_is_wrong_with_one_entry_stands_at_its_field(desk_client, at):
    response = desk_client.post(at("new"), NEW | {"sex": "M", "best": "47.5"})
    assert response.status_code == 422
    assert response.context["form"].errors == {
        "sex": ["U15 Girls Long Jump is for girls, and this line says boy."],
        "best": [
            '"47.5" is no distance; expected two decimals, for example 5.40. Probably 4.75. '
            "Entered without a seed mark if you agree."
        ],
    }
    assert Entry.objects.count() == 0


def test_a_question_about_one_entry_is_answered_by_a_box(desk_client, at):
    asked = desk_client.post(at("new"), NEW | {"best": "47.5"})
    assert (asked.status_code, 'name="consent"' in asked.content.decode()) == (422, True)
    assert desk_client.post(at("new"), NEW | {"best": "47.5", "consent": "on"}).status_code == 302
    assert Entry.objects.get().seed_mark is None


@pytest.fixture
def entry(meet):
    athlete = AthleteFactory(
        first_name="Orla", last_name="Elmsall", born=date(2012, 12, 7), school_year="", school__code="ZZZ"
    )
    event = Event.objects.get(meet=meet, name="U15 Girls Triple Jump")
    return EntryFactory(
        event=event, athlete=athlete, bib="7", string="A", seed_mark=980, seed_date=date(2026, 5, 8), board_cm=700
    )


def form_of(client, address):
    form = client.get(address).context["form"]
    return {name: value for name in form.fields if (value := form[name].value()) not in (None, False)}


def test_an_entry_is_changed(desk_client, at, entry):
    address = at("entry", entry.pk)
    sent = form_of(desk_client, address)
    assert (sent["seed_mark"], sent["board_cm"], sent["string"]) == ("9.80", "7 m", "A")
    response = desk_client.post(
        address,
        sent | {"bib": "12", "seed_mark": "10,10", "seed_wind_tenths": "+1.4", "board_cm": "9", "first_name": "órla"},
    )
    assert response.url == at("list")
    found = Entry.objects.get(pk=entry.pk)
    assert (found.bib, found.seed_mark, found.seed_wind_tenths, found.board_cm, str(found.athlete)) == (
        "12",
        1010,
        14,
        900,
        "Órla Elmsall",
    )


def test_an_entry_sent_unchanged_stays_as_it_is(desk_client, at, entry):
    before = Entry.objects.values().get(pk=entry.pk)
    address = at("entry", entry.pk)
    assert desk_client.post(address, form_of(desk_client, address)).status_code == 302
    assert Entry.objects.values().get(pk=entry.pk) == before


def test_what_is_wrong_with_a_change_stands_at_its_field(desk_client, at, entry):
    EntryFactory(event=entry.event, athlete=AthleteFactory(first_name="Bea", last_name="Rusk"), bib="8")
    address = at("entry", entry.pk)
    response = desk_client.post(
        address, form_of(desk_client, address) | {"bib": "8", "string": "AB", "seed_mark": "9.8"}
    )
    assert response.context["form"].errors == {
        "string": ['"AB" is no string; expected A, B or an empty cell.'],
        "seed_mark": ['"9.8" is no distance; expected two decimals, for example 5.40.'],
    }
    response = desk_client.post(address, form_of(desk_client, address) | {"bib": "8"})
    assert response.context["form"].errors == {"bib": ["Bib 8 is worn by Bea Rusk in U15 Girls Triple Jump."]}
    assert Entry.objects.get(pk=entry.pk).bib == "7"


def test_an_entry_is_withdrawn_and_entered_again(desk_client, at, entry):
    desk_client.post(at("withdraw", entry.pk))
    page = text_of(desk_client.get(at("entry", entry.pk)))
    assert "Withdrawn entries are on no start list." in page
    assert "withdrawn before the meet" in text_of(desk_client.get(at("list")))
    desk_client.post(at("restore", entry.pk))
    assert Entry.objects.get(pk=entry.pk).status == "confirmed"


def test_a_drawn_event_sends_people_to_its_own_page(desk_client, at, entry):
    LogRowFactory(event=entry.event)
    page = desk_client.get(at("entry", entry.pk)).content.decode()
    assert reverse("desk:event", args=[entry.event.meet.slug, entry.event_id]) in page
    desk_client.post(at("withdraw", entry.pk))
    assert Entry.objects.get(pk=entry.pk).status == "confirmed"


def test_an_entry_of_another_meet_is_not_found(desk_client, at):
    other = EntryFactory(event=EventFactory())
    assert desk_client.get(at("entry", other.pk)).status_code == 404
    assert desk_client.post(at("withdraw", other.pk)).status_code == 404


@pytest.mark.parametrize("name", ["list", "new", "bibs", "upload"])
def test_nobody_comes_in_without_signing_in(client, at, name):
    for response in (client.get(at(name)), client.post(at(name))):
        assert response.status_code == 302
        assert response.url.startswith(reverse("desk:sign_in"))


@pytest.mark.parametrize("name", ["bibs"])
def test_changes_are_posted(desk_client, at, name):
    assert desk_client.get(at(name)).status_code == 405


def test_times_of_the_deadline_are_of_the_meets_zone(desk_client, at, meet):
    meet.time_zone, meet.entry_deadline = "America/Chicago", datetime(2026, 6, 1, 18, 0, tzinfo=UTC)
    meet.save()
    assert "Entries close on 1 June 2026, 13:00." in text_of(desk_client.get(at("upload")))
    assert timezone.get_current_timezone_name() == "Europe/London"


def test_somebody_named_at_the_pit_has_no_date_of_birth_and_can_be_corrected_without_one(desk_client, at, entry):
    entry.athlete.born = None
    entry.athlete.save()
    assert "not known" in desk_client.get(at("list")).text
    address = at("entry", entry.pk)
    sent = form_of(desk_client, address)
    assert "born" not in sent
    assert desk_client.post(address, sent | {"last_name": "Elmsal"}).status_code == 302
    entry.athlete.refresh_from_db()
    assert (str(entry.athlete), entry.athlete.born) == ("Orla Elmsal", None)
    assert desk_client.post(address, form_of(desk_client, address) | {"born": "2012-12-07"}).status_code == 302
    entry.athlete.refresh_from_db()
    assert entry.athlete.born == date(2012, 12, 7)
    assert desk_client.post(address, form_of(desk_client, address) | {"born": ""}).status_code == 422


def test_whose_name_is_not_shown_is_ticked_at_the_entry(desk_client, at, entry):
    address = at("entry", entry.pk)
    sent = form_of(desk_client, address)
    assert desk_client.post(address, sent | {"not_public": "on"}).status_code == 302
    assert Entry.objects.get(pk=entry.pk).athlete.not_public is True
    sent = form_of(desk_client, address)
    assert desk_client.post(address, {name: value for name, value in sent.items() if name != "not_public"}).url
    assert Entry.objects.get(pk=entry.pk).athlete.not_public is False


def test_a_name_hidden_by_somebody_else_meanwhile_is_not_shown_again(desk_client, at, entry):
    address = at("entry", entry.pk)
    opened = form_of(desk_client, address)
    Athlete.objects.update(not_public=True)
    answer = desk_client.post(address, opened | {"bib": "12"})
    assert (answer.status_code, "Name not shown: yes" in text_of(answer)) == (422, True)
    assert Athlete.objects.get().not_public is True


@pytest.mark.parametrize("ticked", [True, False])
def test_a_new_entry_says_whether_the_name_is_shown(desk_client, at, ticked):
    desk_client.post(at("new"), NEW | ({"not_public": "on"} if ticked else {}))
    assert Entry.objects.get().athlete.not_public is ticked


def test_a_class_typed_otherwise_is_no_class_of_its_own(desk_client, at, entry):
    address = at("entry", entry.pk)
    desk_client.post(address, form_of(desk_client, address) | {"klass": "t 20"})
    assert Entry.objects.get(pk=entry.pk).klass == "T20"


def test_the_list_says_who_is_in_a_class_and_whose_name_is_not_shown(desk_client, at, entry):
    assert "Orla Elmsall 20" in text_of(desk_client.get(at("list")))
    Entry.objects.update(klass="T20")
    Athlete.objects.update(not_public=True)
    assert "Orla Elmsall class T20, name not shown" in text_of(desk_client.get(at("list")))
