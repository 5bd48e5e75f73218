"""Rules of receiving that no other test looks at, each as small as it can be."""

import time
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection, connections, transaction
from django.urls import reverse

from meets.models import Delivery, Event, Stream
from meets.pit.keys.tokens import token_of
from meets.pit.sync import tables
from meets.pit.sync.tables import NewLogRow
from meets.running.reads import state_of
from tests.browser.phones import APP, SENT, come_in, kept_on, save, says
from tests.browser.stub import Stub, served
from tests.meets.pit.sync.crowd import a_meet_with_phones
from tests.meets.pit.sync.phone import NOW, WALL, key_of, statuses

HOUR_MS = 3600 * 1000
WAITS_S = 0.5
several_connections = pytest.mark.skipif(
    connection.vendor == "sqlite", reason="SQLite has one writer, which the lock tests look at"
)


@pytest.mark.django_db(transaction=True)
def test_a_batch_is_not_received_inside_another_transaction():
    """It would be answered before it is committed."""
    _event, phones = a_meet_with_phones()
    with transaction.atomic(), pytest.raises(RuntimeError, match="durable"):
        phones[0].send_all()


@pytest.mark.django_db(transaction=True)
def test_what_is_answered_is_committed(client):
    _event, (phone, *_others) = a_meet_with_phones()
    header = {"Authorization": f"Bearer {token_of(phone.device)}"}
    answer = client.post(reverse("sync:push"), phone.text(), content_type="application/json", headers=header)
    connection.connection.rollback()  # what the end of the process would do to it
    assert (answer.status_code, Delivery.objects.count()) == (200, len(phone.said))


def test_equal_values_are_no_dispute(db):
    """The board that one of them names besides makes no difference."""
    event, (phone, second, _gauge) = a_meet_with_phones()
    values = {"entry": key_of(event, "1"), "round": 5, "result": "mark", "mark": 543}
    phone.send(phone.write(event, "jumped", values | {"board_cm": 100}))
    second.send(second.write(event, "jumped", values))
    state = state_of(event)
    (turn,) = state.entry(key_of(event, "1")).turns
    assert (state.disputes, turn.confirmed, len(turn.rows)) == ((), True, 2)


def test_a_correction_of_somebody_else_may_come_first(db):
    event, (phone, second, _gauge) = a_meet_with_phones()
    wrong = phone.jump(event, "1", 5, 534)
    right = second.jump(event, "1", 5, 543, supersedes=[wrong["id"]], reason="misheard")
    assert statuses(second.send(right)) == statuses(phone.send(wrong)) == ["stored"]
    state = state_of(event)
    assert (state.entry(key_of(event, "1")).best, state.disputes) == (543, ())


def test_clocks_order_nothing(db):
    """One phone's clock is an hour ahead: who has come back is back."""
    event, (phone, second, _gauge) = a_meet_with_phones()
    key = {"entry": key_of(event, "1")}
    phone.send(phone.write(event, "left", key | {"where": "100 m"}, wall=WALL + HOUR_MS))
    second.send(second.write(event, "returned", key, wall=WALL))
    assert state_of(event).entry(key["entry"]).away is None


def pushed_in_a_thread(phone, entry, said: list[str]):
    """What becomes of an entry that another connection sends; `said` gets every statement of it."""

    def note(execute, sql, params, many, context):
        said.append(sql)
        return execute(sql, params, many, context)

    def push():
        try:
            with connection.execute_wrapper(note):
                return phone.send(entry)
        finally:
            connections.close_all()

    return push


@several_connections
@pytest.mark.django_db(transaction=True)
def test_the_place_in_the_log_is_taken_behind_the_lock():
    """Whoever comes while somebody holds the event waits, then stands behind, and need not begin again."""
    event, (phone, *_others) = a_meet_with_phones()
    phone.send(phone.said[0])
    entry, said = phone.said[1], []
    row = NewLogRow(str(phone.epoch), "returned", {"entry": key_of(event, "1")}, [], "desk", "O. Rganiser", "", NOW)
    with ThreadPoolExecutor(1) as pool:
        with transaction.atomic():
            Event.objects.select_for_update().get(pk=event.pk)
            last = event.log.order_by("-rev").values_list("rev", flat=True)[0]
            pushed = pool.submit(pushed_in_a_thread(phone, entry, said))
            time.sleep(WAITS_S)
            with connection.cursor() as cursor:
                tables.run(cursor, [tables.log_appended(event.pk, last, [row])])
        assert statuses(pushed.result()) == ["stored"]
    assert event.log.get(pk=entry["id"]).rev == last + 2
    assert sum("EXECUTE ground_of" in sql for sql in said) == 1


@several_connections
@pytest.mark.django_db(transaction=True)
def test_a_stream_is_received_by_one_at_a_time():
    """A number that was noted in the meantime is not forgotten."""
    _event, (phone, *_others) = a_meet_with_phones()
    phone.send(phone.said[0], max_seq=1)
    with ThreadPoolExecutor(1) as pool:
        with transaction.atomic():
            stream = Stream.objects.select_for_update().get(device=phone.device)
            stream.max_seq = 9
            stream.save()
            pushed = pool.submit(lambda: (phone.send(phone.said[1], max_seq=2), connections.close_all())[0])
            time.sleep(WAITS_S)
        assert pushed.result().have.holes == ((3, 9),)
    stream.refresh_from_db()
    assert (stream.upto, stream.max_seq) == (2, 9)


@pytest.mark.slow
@pytest.mark.browser
def test_a_contact_names_the_last_number(chromium, settings):
    settings.ALLOWED_HOSTS = ["*"]
    stub = Stub()
    with served(stub) as address:
        context = chromium.new_context()
        page = come_in(context, address)
        for mark in (501, 502):
            save(page, mark)
        says(page, SENT)
        before = len(stub.contacts)
        page.evaluate("() => dispatchEvent(new Event('online'))")
        for _ in range(100):
            page.wait_for_timeout(0 if len(stub.contacts) > before else 50)
        context.close()
    assert (stub.contacts[-1]["max_seq"], stub.contacts[-1]["unsent"]) == (2, 0)


@pytest.mark.slow
@pytest.mark.browser
def test_entries_of_another_meet_are_not_tidied_away(chromium, settings):
    settings.ALLOWED_HOSTS = ["*"]
    with served(Stub()) as address:
        context = chromium.new_context()
        page = come_in(context, address)
        entry = save(page)
        says(page, SENT)
        far = entry["wall"] + entry["offset"] + 3650 * 24 * HOUR_MS
        page.evaluate(f"async (meet) => {{ {APP} await outbox.tidyUp(new Set([meet]), {far}); }}", entry["meet"] + 1)
        assert [kept["id"] for kept in kept_on(page)] == [entry["id"]]
        page.evaluate(f"async (meet) => {{ {APP} await outbox.tidyUp(new Set([meet]), {far}); }}", entry["meet"])
        assert kept_on(page) == []
        context.close()
