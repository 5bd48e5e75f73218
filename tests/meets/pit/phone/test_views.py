"""Who is told what, how often it is worked out, and at what cost; and the clock."""

from datetime import UTC, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from meets.models import Device, PitClock, Role
from meets.pit.keys.tokens import token_of
from meets.pit.phone import reads
from meets.running import actions
from tests.factories import EntryFactory, LogRowFactory, PitClockFactory, PitSessionFactory, SessionPartFactory
from tests.meets.pit.conftest import PIT_BY
from tests.meets.pit.phone.conftest import Pit
from tests.meets.pit.phone.test_state import jump
from tests.meets.pit.sync.phone import Phone, statuses

STARTED = datetime(2027, 6, 12, 10, 30, tzinfo=UTC)


def test_nobody_without_a_token(client, session):
    answer = client.get(f"/sync/v1/state/{session.pk}?role=recorder")
    assert (answer.status_code, answer["Content-Type"]) == (401, "application/problem+json")


@pytest.mark.parametrize(
    ("role", "asks_for", "status"),
    [("recorder", "recorder", 200), ("recorder", "second", 403), ("second", "recorder", 403),
     ("display", "referee", 403), ("recorder", "nobody", 422)],
)  # fmt: skip
def test_a_phone_gets_the_state_for_its_role(pit, role, asks_for, status):
    answer = pit.get(role, asks_for=asks_for)
    assert answer.status_code == status
    assert answer["Content-Type"] == ("application/json" if status == 200 else "application/problem+json")


def test_only_sessions_of_the_key(pit, client, session):
    other = Pit(client, PitSessionFactory(pit=session.pit), pit.event)
    other.phones = {"recorder": pit.phone("recorder")}
    assert other.get("recorder").status_code == 403


def test_what_is_known_is_not_told_again(pit):
    first = pit.get()
    assert first["ETag"] == f'"{first.json()["version"]}"'
    for tag in (first["ETag"], f"W/{first['ETag']}", f'"old", {first["ETag"]}'):
        again = pit.get(**{"If-None-Match": tag})
        assert (again.status_code, again.content, again["ETag"]) == (304, b"", first["ETag"])
    assert pit.get(**{"If-None-Match": '"old"'}).status_code == 200


def test_while_somebody_records_all_the_time_the_version_is_never_too_new(pit, monkeypatch):
    """A phone that was told less than there is asks again and is told more."""
    worked_out = reads.body_text

    def always_late(session, role):
        text = worked_out(session, role)
        LogRowFactory(event=pit.event)
        return text

    monkeypatch.setattr(reads, "body_text", always_late)
    version = pit.state()["version"]
    assert pit.get(**{"If-None-Match": f'"{version}"'}).status_code == 200


def test_long_answers_are_packed(pit):
    plain = pit.get()
    packed = pit.get(**{"Accept-Encoding": "gzip"})
    assert packed["Content-Encoding"] == "gzip"
    assert len(packed.content) < len(plain.content) / 3
    assert pit.get(**{"If-None-Match": packed["ETag"], "Accept-Encoding": "gzip"}).status_code == 304


def rename(pit):
    athlete = pit.event.entries.get(bib="2").athlete
    athlete.last_name = "Quellmark"
    athlete.save()


def other_bib(pit):
    pit.event.entries.filter(bib="2").update(bib="22")


def other_board(pit):
    pit.event.boards_cm = [200]
    pit.event.save()


def other_rule(pit):
    pit.event.rule_changes = {"rounds": "4"}
    pit.event.save()


def other_rule_of_the_meet(pit):
    pit.event.meet.rule_changes = {"trial_seconds": "30"}
    pit.event.meet.save()


def somebody_more(pit):
    EntryFactory(event=pit.event, bib="9")


def elsewhere_too(pit):
    athlete = pit.event.entries.get(bib="2").athlete
    EntryFactory(event__meet=pit.event.meet, event__age_group="U20", athlete=athlete, bib="77")


def longer_sand(pit):
    pit.session.pit.sand_cm = 900
    pit.session.pit.save()


def clock_runs(pit):
    PitClockFactory(session=pit.session, turn="1-1-0", started_at=STARTED)


def gauge_comes(pit):
    Device.objects.filter(pk=pit.phone("gauge").device.pk).update(last_contact=timezone.now())


def second_comes(pit):
    Device.objects.filter(pk=pit.phone("second").device.pk).update(last_contact=timezone.now())


def a_row_of_the_log(pit):
    actions.sign_readiness(event_id=pit.event.pk, **PIT_BY)


def an_entry_of_the_phone(pit):
    jump(pit, "2", 1, 512)


CHANGES = [
    rename, other_bib, other_board, other_rule, other_rule_of_the_meet, somebody_more, elsewhere_too, longer_sand,
    clock_runs, gauge_comes, second_comes, a_row_of_the_log, an_entry_of_the_phone,
]  # fmt: skip


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: change.__name__)
def test_whatever_changes_is_told(pit, change):
    before = pit.state()
    change(pit)
    answer = pit.get(**{"If-None-Match": f'"{before["version"]}"'})
    assert answer.status_code == 200
    after = answer.json()
    assert {name for name in after if after[name] != before[name]} > {"version", "now"}


def test_the_body_is_made_once_for_all_phones_of_a_role(pit, monkeypatch):
    pit.state()
    body = next(reversed(reads._bodies.values()))
    assert body.startswith('{"meet":')
    clock_runs(pit)
    with CaptureQueriesContext(connection) as queries:
        said = pit.state()
    assert said["clock"] == {"turn": "1-1-0", "started": int(STARTED.timestamp() * 1000), "seconds": 60}
    assert not [query for query in queries if 'FROM "meets_logrow" WHERE' in query["sql"]]
    assert next(reversed(reads._bodies.values())) is body


def test_what_changes_while_it_is_worked_out_is_worked_out_again(pit, monkeypatch):
    """Somebody records between reading what there is and working it out: nothing is told under an old version."""
    worked_out = reads.body_text
    calls = []

    def slow(session, role):
        text = worked_out(session, role)
        calls.append(role)
        if len(calls) == 1:
            an_entry_of_the_phone(pit)
        return text

    monkeypatch.setattr(reads, "body_text", slow)
    said = pit.state()
    assert len(calls) == 2
    assert said["included"] == {str(pit.phone("recorder").epoch): 1}
    assert [one["shown"] for one in said["series"][pit.key("2")]] == ["5.12"]
    assert pit.get(**{"If-None-Match": f'"{said["version"]}"'}).status_code == 304


@pytest.mark.parametrize("role", Role.values)
def test_the_number_of_queries_grows_with_nothing(pit, role):
    pit.phone(role)
    counts = []
    for bibs in ((), ("4", "5", "6", "7")):
        for bib in bibs:
            entry = EntryFactory(event=pit.event, bib=bib)
            LogRowFactory(event=pit.event, kind="added", values={"entry": str(entry.pk)})
        for bib in ("2", *bibs):
            jump(pit, bib, 1, 512, role="referee", wind=3)
        with CaptureQueriesContext(connection) as built:
            version = pit.state(role)["version"]
        with CaptureQueriesContext(connection) as known:
            assert pit.get(role, **{"If-None-Match": f'"{version}"'}).status_code == 304
        counts.append((len(built), len(known)))
    assert counts[0] == counts[1]
    assert counts[0][1] <= 10


@pytest.mark.parametrize(
    ("roles", "minutes", "gauge_on"),
    [(["gauge"], 1, True), (["gauge"], 3, False), (["recorder", "gauge"], 1, False)],
)
def test_whether_a_gauge_operator_is_at_work(pit, roles, minutes, gauge_on):
    device = pit.phone("gauge").device
    device.key.roles = roles
    device.key.save()
    Device.objects.filter(pk=device.pk).update(last_contact=timezone.now() - timedelta(minutes=minutes))
    assert pit.state()["gauge_on"] is gauge_on
    if "recorder" in roles:
        pit.send("gauge", "wind_read", {"entry": pit.key("2"), "round": 1, "tenths": 3})
        assert pit.state()["gauge_on"] is True


def test_what_another_phone_has_not_sent_is_named(pit):
    phone = pit.phone("second")
    phone.send(jump(pit, "2", 1, 512, role="second") or phone.said[0], max_seq=3)
    says = "Phone 1 (R. Corder) has not sent its entries 2–3 yet."
    number = phone.device.number
    assert pit.state()["missing"] == [
        {"phone": number, "official": "R. Corder", "says": says.replace("1", str(number), 1)}
    ]
    assert pit.state("second")["missing"] == []


def told_of_another(pit, phone):
    answer = pit.client.get(
        f"/sync/v1/state/{pit.session.pk}?role={phone.role}",
        headers={"Authorization": f"Bearer {token_of(phone.device)}"},
    )
    return answer.json()["beside"]


def heard(phone, minutes=0):
    """Of a phone that came in an hour ago, as all of them did."""
    Device.objects.update(came_in_at=timezone.now() - timedelta(hours=1))
    Device.objects.filter(pk=phone.device.pk).update(last_contact=timezone.now() - timedelta(minutes=minutes))


@pytest.mark.parametrize("role", ["recorder", "second"])
def test_a_phone_is_told_of_another_that_writes_its_record(pit, role):
    first, other = pit.phone(role), Phone(pit.session, role)
    assert told_of_another(pit, first) == told_of_another(pit, other) == []
    first.jump(pit.event, "1", 1)
    assert statuses(push(first)) == ["stored"]
    heard(first)
    says = f"Phone {first.device.number} (R. Corder) writes this record too. Agree which of you goes on."
    assert told_of_another(pit, first) == []
    assert told_of_another(pit, other) == [says]
    heard(first, minutes=3)
    assert told_of_another(pit, other) == []  # (a phone that was put away, or whose battery is empty)


def test_of_records_that_are_not_its_own_a_phone_is_told_nothing(pit, event):
    first = pit.phone("recorder")
    first.jump(pit.event, "1", 1)
    assert statuses(push(first)) == ["stored"]
    heard(first)
    for role in ("second", "gauge", "referee"):
        assert pit.state(role)["beside"] == []
    elsewhere = PitSessionFactory(pit__meet=event.meet)
    SessionPartFactory(event=event, session=elsewhere, flight=2)
    there = Pit(pit.client, elsewhere, event)
    assert told_of_another(there, there.phone("recorder")) == []


def test_where_the_flights_of_an_event_are_at_two_pits_one_code_is_for_both_recorders(pit, event):
    elsewhere = PitSessionFactory(pit__meet=event.meet)
    of_event = [Phone(pit.session, event=event) for _ in range(2)]
    of_event[0].jump(event, "1", 1)
    assert statuses(push(of_event[0])) == ["stored"]
    heard(of_event[0])
    assert len(told_of_another(pit, of_event[1])) == 1
    SessionPartFactory(event=event, session=elsewhere, flight=2)
    assert told_of_another(pit, of_event[1]) == []


def push(phone):
    """As it is received today: what was brought long ago does not matter."""
    return phone.send_all(now=timezone.now())


def put(pit, role, **said):
    clock = {"turn": "12-2-0", "started": int(STARTED.timestamp() * 1000), "seconds": 60} | said
    return pit.client.put(
        f"/sync/v1/clock/{pit.session.pk}", clock, content_type="application/json", headers=pit.header(role)
    )


@pytest.mark.parametrize(
    ("role", "status"), [("recorder", 204), ("referee", 204), ("second", 403), ("gauge", 403), ("display", 403)]
)
def test_who_sets_the_clock(pit, role, status):
    assert put(pit, role).status_code == status
    assert PitClock.objects.count() == (status == 204)


def test_the_clock_is_started_and_stopped(pit):
    put(pit, "recorder")
    assert pit.state("display")["clock"] == {
        "turn": "12-2-0",
        "started": int(STARTED.timestamp() * 1000),
        "seconds": 60,
    }
    put(pit, "referee", started=None, seconds=120)
    assert pit.state("display")["clock"] == {"turn": "12-2-0", "started": None, "seconds": 120}


@pytest.mark.parametrize(
    "wrong",
    [{"turn": 5}, {"turn": "up"}, {"turn": "1-1-0" * 20}, {"started": "now"}, {"started": True}, {"started": 10**18},
     {"seconds": 0}, {"seconds": 3601}, {"seconds": "60"}],
)  # fmt: skip
def test_what_is_no_clock(pit, wrong):
    answer = put(pit, "recorder", **wrong)
    assert (answer.status_code, answer.json()["field"]) == (422, next(iter(wrong)))
    assert not PitClock.objects.exists()
