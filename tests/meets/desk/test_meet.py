from datetime import UTC, date, datetime

import pytest

from athletes.models import School
from meets.desk.event.reads import event_page
from meets.desk.meet.actions import free_slug
from meets.desk.meet.reads import format_sentence, still_to_set_up
from meets.models import Meet
from scoring.rulesets import RULE_SETS
from tests.factories import (
    START,
    EntryFactory,
    EventFactory,
    LogRowFactory,
    MeetFactory,
    PenaltyFactory,
    PitSessionFactory,
    SessionPartFactory,
    StandardFactory,
)

NEW = {
    "name": "Autumn jumps at Quarrendon",
    "date": "2027-09-18",
    "venue": "Lower field",
    "time_zone": "Europe/London",
    "deadline": "2027-09-11T18:00",
    "unit": "cm",
    "rule_set": "international",
    "age_scheme": "uk-2026",
    "age_date": "",
    "paper": "A4",
    "schools_in_match": "",
}


def test_a_new_meet_gets_a_short_name_from_its_name(desk_client):
    answer = desk_client.post("/desk/new/", NEW)
    meet = Meet.objects.get()
    assert (answer.status_code, answer["Location"]) == (302, "/desk/autumn-jumps-at-quarrendon/programme/")
    assert (meet.slug, meet.date, meet.rule_set) == ("autumn-jumps-at-quarrendon", date(2027, 9, 18), "international")


@pytest.mark.parametrize(
    ("zone", "utc"),
    [("Europe/London", (17, 0)), ("Pacific/Auckland", (6, 0)), ("America/New_York", (22, 0))],
)
def test_the_deadline_is_on_the_clock_of_the_meets_own_zone(desk_client, zone, utc):
    desk_client.post("/desk/new/", {**NEW, "time_zone": zone})
    assert Meet.objects.get().entry_deadline == datetime(2027, 9, 11, *utc, tzinfo=UTC)


def test_what_is_wrong_with_a_new_meet_stands_at_its_fields(desk_client):
    answer = desk_client.post("/desk/new/", {**NEW, "name": "", "rule_set": "village", "date": "31/02/2027"})
    assert answer.status_code == 422
    assert sorted(answer.context["form"].errors) == ["date", "name", "rule_set"]
    assert Meet.objects.count() == 0


def test_a_meet_sent_twice_is_set_up_once(desk_client):
    desk_client.post("/desk/new/", NEW)
    answer = desk_client.post("/desk/new/", {**NEW, "name": "autumn jumps at quarrendon"})
    assert answer.status_code == 422
    assert answer.context["form"].errors == {
        "name": ["There is a meet of this name on that day already. Give this one another name."]
    }
    assert Meet.objects.count() == 1
    change = "/desk/autumn-jumps-at-quarrendon/settings/change/"
    assert desk_client.post(change, {**NEW, "venue": "Upper field"}).status_code == 302


@pytest.mark.parametrize(
    ("name", "slug"),
    [
        ("Spring jumps", "spring-jumps-2"),
        ("New", "new-2"),
        ("Sign in", "sign-in-2"),
        ("跳", "meet"),
        ("x" * 90, "x" * 40),
    ],
)
def test_no_two_meets_and_no_page_of_the_desk_share_a_short_name(meet, name, slug):
    assert free_slug(name=name) == slug


def test_another_date_takes_the_times_of_the_programme_along(desk_client, meet):
    event = EventFactory(meet=meet, starts_at=START)
    session = PitSessionFactory(pit__meet=meet, starts_at=START)
    changed = {**NEW, "name": meet.name, "date": "2027-12-04", "age_scheme": meet.age_scheme, "deadline": ""}
    assert desk_client.post("/desk/spring-jumps/settings/change/", changed).status_code == 302
    event.refresh_from_db()
    session.refresh_from_db()
    # 10:00 UTC is 11:00 on the clock in June, and 11:00 on the clock is 11:00 UTC in December.
    assert event.starts_at == session.starts_at == datetime(2027, 12, 4, 11, 0, tzinfo=UTC)


def test_unit_and_rule_set_are_fixed_once_somebody_has_jumped(desk_client, meet):
    LogRowFactory(event=EventFactory(meet=meet, age_group="U15"), kind="jumped", values={})
    changed = {**NEW, "unit": "quarter-inch", "rule_set": "four", "age_scheme": meet.age_scheme}
    assert desk_client.post("/desk/spring-jumps/settings/change/", changed).status_code == 302
    meet.refresh_from_db()
    assert (meet.unit, meet.rule_set, meet.name) == ("cm", "international", NEW["name"])


def test_the_unit_is_fixed_by_a_seed_mark(desk_client, meet):
    EntryFactory(event=EventFactory(meet=meet, age_group="U15", discipline="LJ"), seed_mark=430)
    changed = {**NEW, "unit": "quarter-inch", "rule_set": "four", "age_scheme": meet.age_scheme}
    desk_client.post("/desk/spring-jumps/settings/change/", changed)
    meet.refresh_from_db()
    assert (meet.unit, meet.rule_set) == ("cm", "four")


def test_the_unit_is_fixed_by_a_standard(desk_client, meet):
    StandardFactory(meet=meet)
    changed = {**NEW, "unit": "quarter-inch", "age_scheme": meet.age_scheme}
    desk_client.post("/desk/spring-jumps/settings/change/", changed)
    meet.refresh_from_db()
    assert (meet.unit, meet.name) == ("cm", NEW["name"])


def test_an_age_scheme_without_a_group_of_the_meet_is_refused_by_name(desk_client, meet):
    EventFactory(meet=meet, age_group="U15", name="U15 girls long jump")
    answer = desk_client.post("/desk/spring-jumps/settings/change/", {**NEW, "age_scheme": "us-grades"})
    assert answer.status_code == 422
    assert answer.context["form"].errors["age_scheme"] == [
        "These events have an age group that is not among these: U15 girls long jump. Remove them first."
    ]


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("international", "3 trials, best 8 get 3 more; with 8 starters or fewer all take 6."),
        ("open-pit", "Open pit: 3 trials, taken when the athlete likes, in no order."),
    ],
)
def test_a_rule_set_is_chosen_by_the_words_that_stand_on_its_sheets(name, says):
    assert format_sentence(RULE_SETS[name]) == says


def test_what_is_missing_is_listed_until_it_is_done(meet):
    assert [step.done for step in still_to_set_up(meet)] == [False, False, False, False]
    EventFactory(meet=meet)
    assert [step.done for step in still_to_set_up(meet)] == [True, False, False, False]
    PitSessionFactory(pit__meet=meet)
    assert [step.done for step in still_to_set_up(meet)] == [True, True, False, False]


def test_an_empty_list_of_meets_says_what_to_do(desk_client):
    assert "No meet yet" in desk_client.get("/desk/").content.decode()


@pytest.mark.parametrize("rows", [1, 3])
def test_the_list_of_meets_asks_no_more_for_more_meets(desk_client, django_assert_num_queries, rows):
    for _n in range(rows):
        EntryFactory(event__meet=MeetFactory())
    with django_assert_num_queries(4):
        answer = desk_client.get("/desk/")
    assert len(answer.context["table"].rows) == rows


REMOVE = "/desk/spring-jumps/settings/remove/"


def test_a_meet_without_a_log_is_removed_after_its_parts_are_counted(desk_client, meet):
    part = SessionPartFactory(event__meet=meet, session__pit__meet=meet)
    entry = EntryFactory(event=part.event)
    PenaltyFactory(meet=meet, school=entry.athlete.school)
    page = desk_client.get(REMOVE)
    assert page.context["removal"].goes == ("1 event", "1 entry", "1 pit", "1 session", "1 penalty")
    assert desk_client.post(REMOVE)["Location"] == "/desk/"
    assert (Meet.objects.count(), School.objects.filter(pk=entry.athlete.school_id).count()) == (0, 1)


def test_a_meet_with_a_log_stays_and_says_why(desk_client, meet):
    LogRowFactory(event=EventFactory(meet=meet))
    answer = desk_client.post(REMOVE)
    assert (answer.status_code, Meet.objects.count()) == (422, 1)
    says = "1 row is in the log of its events: what was recorded is never deleted."
    assert answer.context["removal"].why_not == says
    assert "Remove the meet</button>" not in answer.content.decode()


def test_another_rule_set_says_first_which_changes_of_events_no_longer_fit(desk_client, meet):
    event = EventFactory(meet=meet, age_group="U15", name="U15 girls long jump", rule_changes={"cuts": "5:2"})
    change = "/desk/spring-jumps/settings/change/"
    sent = {**NEW, "age_scheme": meet.age_scheme, "rule_set": "three-only"}
    answer = desk_client.post(change, sent)
    form = answer.context["form"]
    assert (answer.status_code, [(m.owner, m.wished, m.holds) for m in form.misfits]) == (
        422,
        [("U15 girls long jump", "5:2", "none")],
    )
    assert form.non_field_errors() == ["Changes that were made on purpose do not fit these rules:"]
    meet.refresh_from_db()
    assert meet.rule_set == "international"
    assert desk_client.post(change, {**sent, "agreed": form.agreement}).status_code == 302
    meet.refresh_from_db()
    assert (meet.rule_set, event_page(event_of(meet)).misfits) == ("three-only", tuple(form.misfits))
    page = desk_client.get(f"/desk/spring-jumps/{event.pk}/").content.decode()
    assert "Set here: <strong>5:2</strong>; holds: <strong>none</strong>." in page


def test_a_changed_rule_of_the_meet_says_so_too(desk_client, meet):
    EventFactory(meet=meet, age_group="U15", name="U15 girls long jump", rule_changes={"cuts": "5:2"})
    rules = "/desk/spring-jumps/settings/rules/"
    shown = desk_client.get(rules).context["form"]
    sent = {name: shown[name].value() for name in shown.fields} | {"rounds": "4", "cuts": "3:8", "reorder_before": ""}
    answer = desk_client.post(rules, sent)
    assert [(m.owner, m.wished, m.holds) for m in answer.context["form"].misfits] == [
        ("U15 girls long jump", "5:2", "3:8")
    ]


def event_of(meet):
    event = meet.events.get()
    event.meet = meet
    return event
