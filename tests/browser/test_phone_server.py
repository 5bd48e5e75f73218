"""Phone and real server: comes in with a printed code, records, loses the network, and the log holds every trial."""

import pytest
from django.db import connection
from django.utils import timezone

from meets.models import Delivery, Device, LogRow, Stream
from meets.models.log_guard import guard_log
from meets.pit.keys.actions import Wanted, make_keys, revoke_device
from meets.pit.sync.epochs import new_epoch
from meets.running import actions
from meets.running.actions import DESK, PIT
from tests.browser.phones import APP, SENT, kept_on, says, to_send, until, worker_ready
from tests.conftest import lift_guard, once_nobody_reads
from tests.factories import START, EntryFactory, EventFactory, PitSessionFactory, SessionPartFactory

pytestmark = [pytest.mark.browser, pytest.mark.slow]

OFFICIAL = "Zoë “Q” Ünal \u2028 \U0001f600"
SAVE = f"""async ([session, event, values]) => {{
  {APP}
  const entry = await outbox.save({{ session, event, role: "recorder", kind: "jumped", values }});
  sync.kick();
  return entry;
}}"""


@pytest.fixture
def event(transactional_db):
    event = EventFactory(
        discipline="LJ", boards_cm=[100], meet__date=timezone.now().date(), rule_changes={"cuts": "3:2"}
    )
    for bib in ("31", "17", "22"):
        EntryFactory(event=event, bib=bib, seed_mark=None, board_cm=None)
    actions.draw(event_id=event.pk, seed=7, by="Desk", recorder=DESK, now=START)
    actions.sign_readiness(event_id=event.pk, by="Referee", recorder=PIT, now=START)
    return event


@pytest.fixture
def session(event):
    session = PitSessionFactory(pit__meet=event.meet)
    SessionPartFactory(event=event, session=session)
    return session


@pytest.fixture
def phone(chromium, live_server, session):
    wanted = [Wanted(where=session, roles=("recorder",))]
    (made,) = make_keys(meet=session.pit.meet, wanted=wanted, by="Desk", now=timezone.now())
    context = chromium.new_context(viewport={"width": 360, "height": 640}, has_touch=True)
    wrong = []
    context.on("weberror", lambda error: wrong.append(str(error.error)))
    page = context.new_page()
    page.set_default_timeout(15_000)
    page.goto(f"{live_server.url}/pit/phone/#k={made.secret}")
    page.fill("#official", OFFICIAL)
    page.click("button.main")
    page.wait_for_selector("#more")
    yield page
    context.close()
    assert wrong == []


def jump(phone, session, event, bib, round, mark):
    values = {"entry": str(event.entries.get(bib=bib).pk), "round": round, "result": "mark", "mark": mark}
    return phone.evaluate(SAVE, [session.pk, event.pk, values])


def test_trials_saved_without_signal_stand_in_the_log_when_there_is_one(phone, session, event):
    worker_ready(phone)
    phone.context.set_offline(True)
    entries = [jump(phone, session, event, bib, 1, mark) for bib, mark in (("31", 543), ("17", 512), ("22", 498))]
    says(phone, to_send(3))
    phone.reload()
    says(phone, to_send(3))
    assert not LogRow.objects.filter(kind="jumped").exists()
    phone.context.set_offline(False)
    says(phone, SENT)
    rows = LogRow.objects.filter(kind="jumped").order_by("rev")
    assert [(str(row.pk), row.recorder) for row in rows] == [(entry["id"], PIT) for entry in entries]
    assert [row.values for row in rows] == [entry["values"] for entry in entries]
    # The server reckons the hash of what came by itself: had it differed, the entry would have been set aside.
    assert [(one.hash, one.status) for one in Delivery.objects.all()] == [
        (entry["hash"], Delivery.Status.STORED) for entry in entries
    ]
    stream = Stream.objects.get()
    assert (str(stream.epoch), stream.upto, stream.max_seq) == (entries[0]["epoch"], 3, 3)


def test_the_name_of_the_official_arrives_as_it_was_written(phone, session, event):
    jump(phone, session, event, "31", 1, 543)
    says(phone, SENT)
    assert LogRow.objects.get(kind="jumped").by == "Zoë “Q” Ünal \U0001f600"


def test_another_life_of_the_server_is_noticed_and_what_it_has_not_is_sent_again(phone, session, event):
    for round, mark in enumerate((543, 551), 1):
        jump(phone, session, event, "31", round, mark)
        says(phone, SENT)
    # As from an older copy of the database: the second entry had not come yet.
    once_nobody_reads(lift_guard, connection)
    LogRow.objects.filter(kind="jumped", values__round=2)._raw_delete("default")
    once_nobody_reads(guard_log, connection)
    Delivery.objects.filter(seq=2).delete()
    Stream.objects.update(upto=1, max_seq=1)
    epoch = str(new_epoch(timezone.now()))
    phone.evaluate("() => dispatchEvent(new Event('online'))")
    until(phone, f"async (epoch) => {{ {APP} return outbox.stream().server_epoch === epoch; }}", epoch)
    says(phone, SENT)
    assert [row.values["round"] for row in LogRow.objects.filter(kind="jumped").order_by("rev")] == [1, 2]


def test_a_phone_that_the_desk_locked_out_keeps_what_it_holds_and_says_so(phone, session, event):
    revoke_device(device=Device.objects.get(), now=timezone.now())
    jump(phone, session, event, "31", 1, 543)
    phone.wait_for_selector("#banners .alarm:has-text('does not let this phone in')")
    says(phone, to_send(1))
    assert [kept["waiting"] for kept in kept_on(phone)] == [1]
    assert not LogRow.objects.filter(kind="jumped").exists()


def test_the_desk_learns_how_much_a_phone_holds(phone, session, event):
    jump(phone, session, event, "31", 1, 543)
    says(phone, SENT)
    phone.evaluate("() => dispatchEvent(new Event('online'))")
    for _ in range(100):
        phone.wait_for_timeout(0 if Device.objects.get().app_version else 50)
    device = Device.objects.get()
    assert (device.unsent, abs(device.clock_off_s) <= 2, len(device.app_version)) == (0, True, 12)
