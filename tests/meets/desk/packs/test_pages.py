"""The desk's pages of packs: made and sent with and without a browser that asks by itself, states in words, files."""

import re

import pytest
from django.urls import reverse
from django.utils import timezone

from meets.models import Mailing, SchoolPack
from meets.publishing.actions import publish_standings
from meets.publishing.packs.actions import make_packs
from tests.meets.publishing.conftest import over, posted  # noqa: F401
from tests.meets.publishing.packs.days import PublishedDay
from tests.meets.publishing.test_publish import disqualify, official
from tests.meets.sheets.reading import size_mm, words

HTMX = {"HTTP_HX_REQUEST": "true"}
FILES = "meets.publishing.packs.mail_files.EmailBackend"


@pytest.fixture
def day(db, settings, tmp_path):
    settings.EMAIL_BACKEND, settings.EMAIL_FILE_PATH = FILES, tmp_path / "mail"
    return PublishedDay().all_results()


def address(day, name="list", *parts):
    return reverse(f"packs:{name}", args=[day.meet.slug, *parts])


def states():
    return sorted(Mailing.objects.values_list("state", flat=True))


def shown(page):
    """Words of a page without its tags."""
    return " ".join(re.sub(r"<[^>]+>", " ", page.text).split())


def test_before_anything_is_published_the_page_says_what_to_do(desk_client, db):
    day = PublishedDay()
    assert "No result is published yet" in shown(desk_client.get(address(day)))


def test_one_press_makes_all_packs_and_puts_their_letters_in_line(day, desk_client):
    answer = desk_client.post(address(day, "make"), {"mail": "yes"})
    assert (answer.status_code, answer.url) == (302, f"{address(day)}?of=3")
    assert (SchoolPack.objects.count(), states()) == (3, ["waiting"] * 3)
    page = desk_client.get(answer.url)
    assert "0 of 3 letters tried" in shown(page)
    assert 'hx-trigger="load' in page.text


def test_making_alone_sends_nothing(day, desk_client):
    desk_client.post(address(day, "make"))
    assert (SchoolPack.objects.count(), states()) == (3, [])
    assert "Make packs and send them" in shown(desk_client.get(address(day)))


def test_a_browser_that_asks_by_itself_sends_one_letter_at_a_time(day, desk_client):
    desk_client.post(address(day, "make"), {"mail": "yes"})
    seen = []
    for _ in range(3):
        part = desk_client.post(address(day, "send"), {"of": "3"}, **HTMX)
        seen.append((states().count("sent"), "hx-post" in part.text, "<html" in part.text))
    assert seen == [(1, True, False), (2, True, False), (3, False, False)]
    assert "3 letters have been tried." in shown(part)


def test_without_javascript_one_request_sends_what_is_in_line(day, desk_client):
    desk_client.post(address(day, "make"), {"mail": "yes"})
    page = desk_client.post(address(day, "send"), {"of": "3"}, follow=True)
    assert states() == ["sent"] * 3
    assert "3 letters have been tried. None has failed." in shown(page)


def test_sending_stops_where_the_folder_or_server_is_not_there(day, desk_client, settings, tmp_path):
    (tmp_path / "mail").write_text("a file is in the way")
    desk_client.post(address(day, "make"), {"mail": "yes"})
    part = desk_client.post(address(day, "send"), {"of": "3"}, **HTMX)
    assert states() == ["failed", "waiting", "waiting"]
    assert "Sending has stopped." in shown(part)
    assert "hx-trigger" not in part.text
    assert "1 letter was not sent." in shown(part)


@pytest.mark.parametrize(
    ("state", "words_", "buttons"),
    [
        ("sent", "✓ sent", ["Send again"]),
        ("failed", "▲ not sent", ["Send again"]),
        ("unsure", "? may have arrived", ["It is there", "Send again"]),
        ("waiting", "to be sent", []),
        ("sending", "being sent", []),
    ],
)
def test_the_state_of_a_letter_is_said_in_words_with_what_can_be_done(day, desk_client, state, words_, buttons):
    day.in_line()
    Mailing.objects.all().update(state=state, tries=1, tried_at="2127-06-12T10:00:00Z")
    page = desk_client.get(address(day)).text
    row = re.search(rf"<tr[^>]*>(?:(?!</tr>).)*{day.schools[0].contact_email}.*?</tr>", page, re.DOTALL)[0]
    assert words_ in " ".join(re.sub(r"<[^>]+>", " ", row).split())
    assert re.findall(r'<(?:button|a class="button)[^>]*>([^<]+)</', row) == buttons


def test_the_organiser_decides_about_a_letter_that_may_have_arrived(day, desk_client):
    day.in_line()
    Mailing.objects.all().update(state="unsure")
    first, second, _third = Mailing.objects.order_by("pk")
    desk_client.post(address(day, "letter", first.pk), {"do": "arrived"})
    desk_client.post(address(day, "letter", second.pk), {"do": "again", "tries": "0"})
    assert [one.state for one in Mailing.objects.order_by("pk")] == ["sent", "sent", "unsure"]
    assert [one.tries for one in Mailing.objects.order_by("pk")] == [0, 1, 0]
    assert desk_client.post(address(day, "letter", first.pk), {"do": "burn"}).status_code == 400


@pytest.mark.parametrize(
    ("state", "says"),
    [
        ("sent", "A letter went to {address} at {time}. Send another one?"),
        ("unsure", "A letter may have arrived at {address}: it was sent at {time}. Send another one?"),
    ],
)
@pytest.mark.parametrize(
    ("stopped", "time"),
    [("2027-06-12T15:10Z", "14:52"), ("2027-06-12T23:10Z", "12 June, 14:52")],
    indirect=["stopped"],
)
def test_what_a_school_has_is_sent_again_only_after_a_question(stopped, day, desk_client, state, says, time):
    day.in_line()
    mailing = Mailing.objects.first()
    at = stopped.replace(hour=13, minute=52)
    Mailing.objects.filter(pk=mailing.pk).update(state=state, tries=1, sent_at=at, tried_at=at)
    question = desk_client.post(address(day, "letter", mailing.pk), {"do": "again"}, follow=True)
    mailing.refresh_from_db()
    assert (mailing.state, mailing.tries) == (state, 1)
    assert says.format(address=mailing.address, time=time) in shown(question)
    yes = {"do": "again", "tries": re.search(r'name="tries" value="(\d)"', question.text)[1]}
    for tries in (2, 2):
        # The second time is somebody who saw the question before the letter was sent again.
        desk_client.post(address(day, "letter", mailing.pk), yes)
        mailing.refresh_from_db()
        assert (mailing.state, mailing.tries) == ("sent", tries)


def test_the_question_names_the_new_address(day, desk_client):
    day.in_line()
    mailing = Mailing.objects.select_related("pack__school").first()
    Mailing.objects.filter(pk=mailing.pk).update(state="sent", sent_at=timezone.now())
    mailing.pack.school.contact_email = "office@new.example.org"
    mailing.pack.school.save()
    question = shown(desk_client.get(address(day, "again", mailing.pk)))
    assert f"A letter went to {mailing.address} at" in question
    assert "It goes to the new address, office@new.example.org." in question


def test_sending_one_again_leaves_the_others_in_line(day, desk_client):
    day.in_line()
    mailing = Mailing.objects.first()
    desk_client.post(address(day, "letter", mailing.pk), {"do": "again"})
    assert states() == ["sent", "waiting", "waiting"]


def test_a_school_without_an_address_is_named_and_its_pack_can_be_printed(day, desk_client):
    school = day.schools[1]
    school.contact_email = ""
    school.save()
    day.in_line()
    page = desk_client.get(address(day))
    assert "1 school has no address." in shown(page)
    assert "no address: print it, or give one" in shown(page)
    printed = desk_client.get(address(day, "print_all") + "?only=no-address")
    text = words(printed.content)
    assert school.name in text
    assert f"{day.schools[0].name} Results" not in text


def test_pack_and_table_are_given_out_under_names_that_people_understand(day, desk_client):
    day.in_line()
    pack = SchoolPack.objects.get(school=day.schools[0])
    pdf = desk_client.get(address(day, "pdf", pack.pk))
    csv = desk_client.get(address(day, "csv", pack.pk))
    assert pdf.content == bytes(pack.pdf)
    assert csv.content.decode() == pack.csv
    assert [one["Content-Disposition"] for one in (pdf, csv)] == [
        'inline; filename="spring-jumps-thw-pack-1.pdf"',
        'attachment; filename="spring-jumps-thw-pack-1.csv"',
    ]
    assert {one["Cache-Control"] for one in (pdf, csv)} == {"private, no-store"}


BEHIND = "Team standings do not have the newest points of U15 girls long jump."
CHANGED = "Team standings have changed since these packs were made."


def test_packs_that_give_an_old_team_place_are_named_before_anybody_prints_them(
    over,  # noqa: F811
    desk_client,
    settings,
    tmp_path,
):
    settings.EMAIL_BACKEND, settings.EMAIL_FILE_PATH = FILES, tmp_path / "mail"
    meet, page = over.event.meet, reverse("packs:list", args=[over.event.meet.slug])

    def said():
        text = shown(desk_client.get(page))
        return [says in text for says in (BEHIND, CHANGED)]

    official(over)
    publish_standings(meet, by="O. Rganiser", now=over.now)
    make_packs(meet=meet, now=over.now)
    assert said() == [False, False]
    disqualify(over, "2")
    posted(over, status="amended", reason="not entitled")
    make_packs(meet=meet, now=over.now)
    assert said() == [True, False]
    publish_standings(meet, by="O. Rganiser", now=over.now)
    assert said() == [False, True]
    make_packs(meet=meet, now=over.now)
    assert said() == [False, False]


def test_nothing_to_print_is_said(day, desk_client):
    page = desk_client.get(address(day, "print_all"), follow=True)
    assert "There is no pack to print yet." in shown(page)


@pytest.mark.parametrize("schools", [1, 3])
def test_the_list_asks_as_often_for_one_school_as_for_three(
    db, desk_client, settings, tmp_path, django_assert_num_queries, schools
):
    day = PublishedDay(schools=schools).all_results()
    day.in_line()
    desk_client.get(address(day))
    with django_assert_num_queries(11):
        desk_client.get(address(day))


def test_the_medal_table_is_a_page_and_a_sheet(day, desk_client):
    page = shown(desk_client.get(address(day, "medals")))
    names = [school.name for school in day.schools]
    assert [f"{place} {name}" in page for place, name in enumerate(names, 1)] == [True] * 3
    text = words(desk_client.get(address(day, "medals_sheet")).content)
    assert f"1 {names[0]} 2 0 0 2" in text


def sizes_on(page):
    """What the number fields of the form hold."""
    return dict(re.findall(r'<input type="number" name="(\w+)" value="([\d.]+)"', page.text))


class TestCertificates:
    def official(self, day):
        for event in day.events:
            day.result(event, status="official", protests_until=None)

    def test_of_a_provisional_result_there_are_none_unless_asked_for(self, day, desk_client):
        answer = desk_client.get(address(day, "certificates_file"), {"places": "3"})
        assert answer.status_code == 422
        said = shown(answer)
        assert f"Left out because they are provisional: {', '.join(event.name for event in day.events)}." in said
        marked = desk_client.get(address(day, "certificates_file"), {"places": "3", "provisional": "on"})
        assert words(marked.content).count("Provisional result of version 1: it may still change.") == 6

    def test_of_an_official_result_each_place_has_its_page(self, day, desk_client):
        self.official(day)
        text = words(desk_client.get(address(day, "certificates_file"), {"places": "2"}).content)
        assert [text.count(place) for place in ("First place", "Second place", "Third place")] == [2, 2, 0]
        assert "Łucja O’Neil" in text
        assert "Provisional" not in text

    def test_only_the_chosen_events_and_schools(self, day, desk_client):
        self.official(day)
        chosen = {"places": "3", "events": day.events[0].pk, "schools": day.schools[1].pk}
        text = words(desk_client.get(address(day, "certificates_file"), chosen).content)
        assert (text.count("Second place"), text.count("place")) == (1, 1)

    def test_the_paper_is_that_of_the_meet(self, day, desk_client):
        self.official(day)
        day.meet.paper = "letter"
        day.meet.save()
        assert size_mm(desk_client.get(address(day, "certificates_file")).content) == (216, 279)
        assert size_mm(desk_client.get(address(day, "labels_file")).content) == (216, 279)

    def test_labels_skip_those_that_are_used(self, day, desk_client):
        self.official(day)
        text = words(desk_client.get(address(day, "labels_file")).content)
        assert "Łucja O’Neil Thornwick School U15 girls long jump First place · 5.43 +1.4" in text

    def test_labels_that_do_not_fit_are_refused_with_the_sizes(self, day, desk_client):
        self.official(day)
        page = desk_client.get(address(day, "certificates"))
        sizes = {**sizes_on(page), "label_for": "athletes", "columns": "5"}
        answer = desk_client.get(address(day, "labels_file"), sizes)
        assert answer.status_code == 422
        assert "mm wide together, and the paper 210.0 mm" in shown(answer)

    def test_labels_for_envelopes_are_one_for_each_school(self, day, desk_client):
        self.official(day)
        page = desk_client.get(address(day, "certificates"))
        asked = {**sizes_on(page), "label_for": "schools"}
        text = words(desk_client.get(address(day, "labels_file"), asked).content)
        assert [text.count(school.name) for school in day.schools] == [1, 1, 1]
