"""The desk publishes results: what comes next and until when, one event, all at once, team standings."""

import json
import re
from datetime import timedelta

import pytest
from django.contrib.messages import get_messages
from django.utils import timezone

from meets.models import Meet, Publication
from meets.publishing.actions import publish
from meets.publishing.next_words import countdown, what_next
from meets.publishing.standing import standing_of
from meets.publishing.verify import verify
from meets.running import actions
from scoring.log import Turn
from tests.factories import START, EntryFactory, EventFactory, PublicationFactory
from tests.meets.desk.conftest import desk

HTMX = {"HX-Request": "true"}
NOON = START + timedelta(hours=2)
POSTED = "Published as version 1 (provisional), 11:00."


@pytest.fixture
def over(three, meet):
    """Three athletes, three trials each, a signed sheet."""
    meet.rule_set = "three-only"
    meet.save()
    three.event.refresh_from_db()
    played = three.draw().jump_by_bib({"1": "5.10 x 5.00", "2": "5.30 5.10 4.80", "3": "x x x"}, 3)
    actions.close(**played.who)
    return played


def results(event, rest=""):
    return f"/desk/{event.meet.slug}/results/{rest}"


def seen_in(page):
    """What the form of a page sends back of what was seen."""
    found = re.findall(r'name="(version|log_version|status)"[^>]*value="([^"]*)"', page.text)
    return {name: value for name, value in found if name != "status"}


def said(answer):
    return [str(message) for message in get_messages(answer.wsgi_request)]


def publication(event, status, **values):
    return PublicationFactory.build(event=event, meet=event.meet, version=1, status=status, **values)


@pytest.mark.parametrize(
    ("status", "until", "says"),
    [
        ("provisional", NOON + timedelta(minutes=21), f"{POSTED} Protests until 13:21, 21 minutes left."),
        ("provisional", NOON + timedelta(seconds=1), f"{POSTED} Protests until 13:00, 1 minute left."),
        ("provisional", NOON, f"{POSTED} The time for protests is over: it can be official."),
        ("official", None, "Published as version 1 (official), 11:00."),
        ("amended", None, "Published as version 1 (amended), 11:00."),
    ],
)
def test_what_comes_next_in_a_sentence(over, status, until, says):
    newest = publication(over.event, status, protests_until=until, log_version=over.state.version)
    assert what_next(over.state, newest, NOON, "Europe/London").says == says


def test_what_comes_next_before_it_is_published_and_with_a_protest_open(over):
    assert what_next(over.state, None, NOON, "Europe/London").says == "Over; the result is not published."
    posted = publish(over.event, status="provisional", by="organiser0", now=START)
    actions.lodge_protest(**over.who, name="p", entry=over.keys["3"], who="coach", reason="rake")
    assert what_next(over.state, posted, NOON, "Europe/London").says == (
        "Published as version 1 (provisional), 11:00. 1 protest is open. "
        "The result stays provisional until that is settled."
    )


MOVED_ON = "Recorded since version 1 (provisional): publish it again."


def correct(round, trial):
    return lambda who, key: actions.correct_trial(**who, turn=Turn(key, round), trial=trial, reason="misheard")


@pytest.mark.parametrize(
    ("record", "moves"),
    [
        (correct(1, "5.40"), True),
        (correct(3, "4.99"), True),
        (lambda who, key: actions.disqualify(**who, entry=key, reason="two schools"), True),
        (lambda who, key: actions.disregard_trials(**who, entry=key, round=3, reason="a coach ran beside"), True),
        (lambda who, key: actions.show_card(**who, entry=key, colour="yellow", reason="words"), False),
        (lambda who, key: actions.close(**who), False),
    ],
)
def test_only_what_gives_another_result_is_to_be_published_again(three, meet, record, moves):
    meet.rule_set = "three-only"
    meet.save()
    three.event.refresh_from_db()
    three.draw().jump_by_bib({"1": "5.10 x 5.00", "2": "5.30 5.10 4.80", "3": "x x x"}, 3)
    posted = publish(three.event, status="provisional", by="organiser0", now=START)
    record(three.who, three.keys["1"])
    assert posted.log_version < three.state.version
    assert bool(standing_of(three.event, NOON).changes) is moves
    assert (what_next(three.state, posted, NOON, "Europe/London").says == MOVED_ON) is moves


def test_a_published_event_that_is_not_closed_says_so_with_the_way_to_its_result(three, meet, desk_client):
    meet.rule_set = "three-only"
    meet.save()
    three.event.refresh_from_db()
    three.draw().jump_by_bib({"1": "5.10 x 5.00", "2": "5.30 5.10 4.80", "3": "x x x"}, 3)
    pages = (desk(three.event), f"/desk/{meet.slug}/")
    public = f'href="/results/{meet.slug}/{three.event.pk}/"'
    assert [(public in desk_client.get(page).text) for page in pages] == [False, False]
    publish(three.event, status="provisional", by="organiser0", now=timezone.now())
    publish(three.event, status="official", by="organiser0", now=timezone.now(), referee="Ms Okonjo")
    for page in pages:
        text = desk_client.get(page).text
        assert re.search(r"Published as version 2 \(official\), \d\d:\d\d\. Not closed yet\.", text)
        assert (public in text, f'href="{results(three.event)}{three.event.pk}/"' in text) == (True, True)
        assert f'href="{desk(three.event, "decide/close/")}"' in text
    actions.correct_trial(**three.who, turn=Turn(three.keys["1"], 1), trial="5.40", reason="misheard")
    for page in pages:
        text = desk_client.get(page).text
        assert "Recorded since version 2 (official): publish it again." in text
        assert "All trials are taken." not in text


def test_a_page_of_an_event_that_stays_open_learns_that_it_was_published(over, desk_client):
    seen = re.search(r"\?seen=([\w-]+)", desk_client.get(desk(over.event)).text)[1]
    assert desk_client.get(desk(over.event), {"seen": seen}, headers=HTMX).status_code == 204
    publish(over.event, status="provisional", by="organiser0", now=timezone.now())
    assert "Published as version 1" in desk_client.get(desk(over.event), {"seen": seen}, headers=HTMX).text


def test_the_minutes_left_are_never_understated():
    says = countdown(START + timedelta(seconds=61), START, "Europe/London")
    assert says == "Protests until 11:01, 2 minutes left."


def test_past_midnight_the_time_for_protests_has_its_day():
    late = START.replace(hour=22, minute=45)
    assert countdown(late + timedelta(minutes=30), late, "Europe/London") == (
        "Protests until 13 June, 00:15, 30 minutes left."
    )


@pytest.mark.parametrize(
    ("stopped", "zone", "until"),
    [
        ("2027-06-12T13:04:10Z", "Europe/London", "14:34"),
        ("2027-06-12T22:29:59Z", "Europe/London", "23:59"),
        ("2027-06-12T22:40:00Z", "Europe/London", "13 June, 00:10"),
        ("2027-03-28T00:45:00Z", "Europe/London", "02:15"),
        ("2027-06-12T22:40:00Z", "Pacific/Auckland", "11:10"),
        ("2027-12-31T10:31:00Z", "Pacific/Auckland", "1 January 2028, 00:01"),
    ],
    indirect=["stopped"],
)
def test_an_event_is_published_and_the_page_says_until_when(stopped, over, desk_client, zone, until):
    """By the clock at the meet, with the day if that is another one by then."""
    Meet.objects.update(time_zone=zone)
    address = results(over.event, f"{over.event.pk}/")
    page = desk_client.get(address)
    assert "Over; the result is not published." in page.text
    answer = desk_client.post(address, {"status": "provisional", **seen_in(page)}, follow=True)
    assert "Version 1 of U15 girls long jump is published: provisional." in answer.text
    made = Publication.objects.get()
    assert (made.status, made.by, made.protests_until - made.at) == ("provisional", "organiser0", timedelta(minutes=30))
    assert f"Protests until {until}, 30 minutes left." in answer.text
    early = desk_client.post(address, {"status": "official", **seen_in(answer)})
    assert (early.status_code, f"Protests are taken until {until}." in early.text) == (422, True)
    done = desk_client.post(address, {"status": "official", "referee": "Ms Okonjo", **seen_in(early)})
    assert (done.status_code, Publication.objects.latest("version").status) == (302, "official")


@pytest.mark.parametrize(
    ("full_name", "signed"),
    [(("", ""), "the organisers"), (("Orla", "Rganiser"), "Orla Rganiser"), (("O\u202erla ", ""), "Orla")],
)
def test_a_result_is_signed_with_a_name_and_never_with_what_somebody_signs_in_with(
    over, desk_client, organiser, full_name, signed
):
    over.event.meet.is_public = True
    over.event.meet.save()
    organiser.first_name, organiser.last_name = full_name
    organiser.save()
    desk_client.post(results(over.event, "all/"), {"reason": ""})
    made = list(Publication.objects.all())
    assert [json.loads(one.document)["published_by"] for one in made] == [signed] * 2
    assert {one.by for one in made} == {organiser.username}
    public = [f"/results/{over.event.meet.slug}/{over.event.pk}/{rest}" for rest in ("", "versions/", "result.json")]
    desk_client.logout()
    for address in (*public, f"/results/{over.event.meet.slug}/teams/"):
        text = desk_client.get(address).content.decode()
        assert (organiser.username in text, signed in text) == (False, True)
    stored = Publication.objects.get(event=over.event)
    assert verify(desk_client.get(public[-1]).content, stored.sha256).holds


def test_what_was_not_seen_is_not_published(over, desk_client):
    address = results(over.event, f"{over.event.pk}/")
    seen = seen_in(desk_client.get(address))
    publish(over.event, status="provisional", by="A. Nother", now=timezone.now())
    answer = desk_client.post(address, {"status": "provisional", "reason": "again", **seen})
    assert (answer.status_code, "A. Nother has just published version 1" in answer.text) == (422, True)
    assert Publication.objects.count() == 1


def test_a_change_is_shown_before_it_is_published(over, desk_client):
    publish(over.event, status="provisional", by="organiser0", now=over.now)
    actions.correct_trial(**over.who, turn=Turn(over.keys["1"], 1), trial="5.40", reason="misheard")
    address = results(over.event, f"{over.event.pk}/")
    page = desk_client.get(address)
    assert "What has changed since version 1" in page.text
    assert "Bib 1: place 2, now 1; best 5.10, now 5.40; points 7, now 8." in page.text
    without = desk_client.post(address, {"status": "provisional", **seen_in(page)})
    assert (without.status_code, "A new version of a result needs its reason." in without.text) == (422, True)
    desk_client.post(address, {"status": "provisional", "reason": "misheard", **seen_in(page)})
    assert Publication.objects.latest("version").reason == "misheard"


def test_an_event_that_is_not_over_is_not_published(three, desk_client):
    page = desk_client.get(results(three.event, f"{three.event.pk}/"))
    assert ("Not over yet." in page.text, '<button class="main"' in page.text) == (True, False)


def test_the_page_of_the_event_and_of_the_meet_lead_there(over, desk_client):
    for address in (desk(over.event), f"/desk/{over.event.meet.slug}/"):
        page = desk_client.get(address).text
        assert "Over; the result is not published." in page
        assert results(over.event, f"{over.event.pk}/") in page


def test_all_at_once_without_a_script(over, desk_client):
    EntryFactory(event=EventFactory(meet=over.event.meet, age_group="U17", name="U17 boys", position=99))
    answer = desk_client.post(results(over.event, "all/"), {"reason": ""})
    assert said(answer) == [
        "U17 boys: The event is not over: a result is published once the last trial is taken or the sheet is signed.",
        "1 result is published.",
    ]
    assert list(Publication.objects.order_by("event").values_list("event", flat=True)) in (
        [over.event.pk, None],
        [None, over.event.pk],
    )


def test_all_at_once_with_a_bar_one_event_for_each_request(over, desk_client):
    EntryFactory(event=EventFactory(meet=over.event.meet, age_group="U17", name="U17 boys", position=99))
    page = desk_client.post(results(over.event, "all/"), {"reason": ""}, headers=HTMX)
    assert ('max="3" value="0"' in page.text, Publication.objects.count()) == (True, 0)
    values, lines = [], []
    while "next-step" in page.text and 'name="event"' in page.text:
        event = re.search(r'name="event" value="(\d+)"', page.text)[1]
        page = desk_client.post(results(over.event, "step/"), {"event": event, "reason": ""}, headers=HTMX)
        values.append(re.search(r'max="3" value="(\d)"', page.text)[1])
        lines += [re.sub(r"<[^>]+>", "", line).strip() for line in re.findall(r"<li.*?</li>", page.text)]
    assert values == ["1", "2", "3"]
    assert lines == [
        "U15 girls long jump: provisional, version 1",
        "U17 boys: The event is not over: a result is published once the last trial is taken or the sheet is signed.",
        "Team standings: provisional, version 1",
    ]
    assert "Done." in page.text


def test_team_standings_by_themselves(over, desk_client):
    address = results(over.event, "teams/")
    assert said(desk_client.post(address, {"version": 0})) == [
        "No result is published yet: team standings are added up from published results."
    ]
    publish(over.event, status="provisional", by="organiser0", now=over.now)
    assert said(desk_client.post(address, {"version": 0}))[-1] == (
        "Version 1 of the team standings is published: provisional."
    )


def test_a_sheet_has_no_code_where_nobody_could_open_it(over, desk_client, settings):
    over.event.meet.is_public = True
    over.event.meet.save()
    assert "Sheets get no code" in desk_client.get(results(over.event), headers={"host": "localhost"}).text
    desk_client.post(results(over.event, "all/"), {}, headers={"host": "localhost"})
    assert '"address":""' in Publication.objects.get(event=over.event).document
    settings.NEAREST_BREAK_ADDRESS = "https://jumps.example.org"
    assert "Sheets get no code" not in desk_client.get(results(over.event)).text


def test_an_appeal_is_taken_and_decided_at_the_desk(over, desk_client):
    actions.lodge_protest(**over.who, name="p", entry=over.keys["3"], who="coach", reason="rake in the sand")
    over.now = timezone.now()
    actions.decide_protest(**over.who, name="p", upheld=False, reason="the sand was clear")
    form = {"name": "p", "who": "coach", "reason": "film"}
    assert desk_client.post(desk(over.event, "decide/appeal/"), form).status_code == 302
    assert "Appeal open" in desk_client.get(desk(over.event)).text
    decision = {"name": "p", "upheld": "no", "reason": "as the referee said"}
    assert desk_client.post(desk(over.event, "decide/decide-appeal/"), decision).status_code == 302
    assert "Appeal open" not in desk_client.get(desk(over.event)).text
    log = desk_client.get(desk(over.event, "log/")).text.lower()
    assert ("appeal to the jury, lodged by coach" in log, "the jury: protest not upheld" in log) == (True, True)


def test_the_time_for_appeals_is_named_when_it_is_the_longer(over):
    actions.lodge_protest(**over.who, name="p", entry=over.keys["3"], who="coach", reason="rake")
    actions.decide_protest(**over.who, name="p", upheld=False, reason="the sand was raked after the trial")
    state, decided = over.state, over.now
    newest = publication(
        over.event, "provisional", protests_until=decided + timedelta(minutes=5), log_version=state.version
    )
    says = what_next(state, newest, decided, "Europe/London").says
    assert says.endswith(" 30 minutes left.")
    assert "Appeals against the referee's decision until" in says
