"""What is saved on a phone stays there and reaches the server, whatever browser, network and server do."""

import json
import threading
import uuid

import pytest

from tests.browser.phones import APP, DELETE, SENT, come_in, kept_on, save, says, to_send, until, worker_ready
from tests.browser.stub import CUT, HTML, JSON, KEY, problem

pytestmark = [pytest.mark.browser, pytest.mark.slow]


def first_time(answer):
    """Gives the answer once, and nothing of its own after that."""
    answers = [answer]
    return lambda said: answers.pop() if answers else None


def test_the_secret_leaves_the_address_bar(phone, address):
    assert phone.url == f"{address}/pit/phone/"


def test_saved_offline_seen_again_after_a_reload_and_sent_when_there_is_a_way(phone, stub):
    worker_ready(phone)
    phone.context.set_offline(True)
    entry = save(phone)
    says(phone, to_send(1))
    phone.reload()
    says(phone, to_send(1))
    phone.wait_for_selector("#more")
    assert stub.entries == {}
    phone.context.set_offline(False)
    says(phone, SENT)
    assert stub.entries == {entry["id"]: entry}


def test_an_entry_says_what_the_contract_says(phone, stub):
    entry = save(phone)
    says(phone, SENT)
    assert {name: type(value) for name, value in entry.items()} == {
        "v": int, "id": str, "device": str, "epoch": str, "seq": int, "meet": int, "session": int, "event": int,
        "role": str, "kind": str, "values": dict, "supersedes": list, "reason": str, "official": str, "wall": int,
        "offset": int, "app": str, "hash": str,
    }  # fmt: skip
    assert uuid.UUID(entry["id"]).version == uuid.UUID(entry["epoch"]).version == 4
    assert (entry["seq"], entry["official"], entry["meet"]) == (1, "R. Corder", 1)


def test_numbers_run_without_a_gap_and_go_out_in_order(phone, stub):
    stub.down = True
    for mark in range(500, 520):
        save(phone, mark)
    stub.down = False
    phone.evaluate("() => dispatchEvent(new Event('online'))")
    says(phone, SENT)
    seqs = [entry["seq"] for push in stub.pushes for entry in push["entries"]]
    assert sorted(set(seqs)) == list(range(1, 21))
    assert seqs == sorted(seqs)


def test_an_answer_that_was_lost_is_asked_for_again_and_nothing_is_twice(phone, stub):
    stub.after = first_time(CUT)
    entry = save(phone)
    says(phone, SENT)
    assert (list(stub.entries), stub.doubled, len(stub.pushes)) == ([entry["id"]], 1, 2)


def answer_to(said):
    """What our server would say to a batch."""
    results = [{"id": entry["id"], "status": "stored"} for entry in said["entries"]]
    have = {"upto": said["max_seq"], "holes": []}
    return {"server_epoch": str(uuid.UUID(int=7)), "now": 1, "results": results, "have": have}


LOGIN = "<!doctype html><title>Wifi</title><p>Please log in</p>"


@pytest.mark.parametrize(
    "answer",
    [
        pytest.param(lambda said: (200, LOGIN, HTML), id="the page of a wireless network"),
        pytest.param(lambda said: (200, {"ok": True}, JSON), id="JSON of something else"),
        pytest.param(lambda said: (200, '{"server_epoch": "', JSON), id="an answer cut short"),
        pytest.param(lambda said: (500, LOGIN, HTML), id="an error"),
        pytest.param(lambda said: problem(503), id="a server that cannot store"),
        pytest.param(lambda said: (401, LOGIN, HTML), id="somebody else's refusal"),
        pytest.param(
            lambda said: (
                200,
                {"server_epoch": str(uuid.uuid4()), "now": 1, "results": [], "have": {"upto": 9, "holes": []}},
                JSON,
            ),
            id="an answer that does not name it",
        ),
        pytest.param(
            lambda said: (
                200,
                {"now": 1, "results": [{"id": said["entries"][0]["id"], "status": "stored"}]},
                JSON,
            ),
            id="an answer that does not say of which server",
        ),
        pytest.param(lambda said: (200, answer_to(said), HTML), id="the right words as a page"),
        pytest.param(lambda said: (200, answer_to(said) | {"server_epoch": "1"}, JSON), id="another kind of server"),
        pytest.param(
            lambda said: (200, answer_to(said) | {"have": {"upto": 1, "holes": None}}, JSON),
            id="one that says not what it has",
        ),
        pytest.param(lambda said: (201, answer_to(said), JSON), id="another status"),
    ],
)
def test_what_is_no_answer_acknowledges_nothing(phone, stub, answer):
    stub.before = answer
    save(phone)
    for _ in range(300):
        phone.wait_for_timeout(0 if len(stub.pushes) >= 2 else 50)
    assert len(stub.pushes) >= 2
    phone.wait_for_timeout(100)
    assert phone.inner_text("#state") == to_send(1)
    assert [kept["waiting"] for kept in kept_on(phone)] == [1]
    stub.before = lambda said: None
    says(phone, SENT)
    assert len(stub.entries) == 1


class Meeting:
    """A network on which two senders meet: whoever comes first is held until another comes, or for some seconds."""

    def __init__(self) -> None:
        self._begun, self._another = threading.Event(), threading.Event()

    def __call__(self, said) -> None:
        if self._begun.is_set():
            self._another.set()
        self._begun.set()
        self._another.wait(3)


def test_two_tabs_of_one_phone_number_and_send_each_entry_once(phone, stub, address):
    other = phone.context.new_page()
    other.goto(f"{address}/pit/phone/")
    other.wait_for_selector("#more")
    stub.down = True
    for _ in range(5):
        save(phone)
        save(other)
    says(phone, to_send(10))
    says(other, to_send(10))
    stub.before = Meeting()
    stub.down = False
    phone.evaluate("() => dispatchEvent(new Event('online'))")
    other.evaluate("() => dispatchEvent(new Event('online'))")
    says(phone, SENT)
    says(other, SENT)
    assert sorted(entry["seq"] for entry in stub.entries.values()) == list(range(1, 11))
    assert stub.doubled == 0


# Noise, as the browser packs what repeats itself.
FILL = f"""async (most) => {{
  {APP}
  for (let n = 0; n < most; n++) {{
    const noise = Array.from(crypto.getRandomValues(new Uint8Array(12_500)), (x) => x.toString(36) + x).join(" ");
    const draft = {{ session: 7, event: 3, role: "recorder", kind: "jumped", values: {{}}, reason: noise }};
    try {{
      await outbox.save(draft);
    }} catch (problem) {{
      return {{ saved: n, name: problem.name, full: problem.full }};
    }}
  }}
  return {{ saved: most }};
}}"""


@pytest.fixture
def small_phone(chromium, address):
    """Opens a phone with little room; gives the page and a function that sets how much, in bytes.

    It is set before anything is stored, as the browser looks at it again only when that is used up.
    """
    context = chromium.new_context()
    page = context.new_page()
    page.goto(f"{address}/static/base/mark.svg")
    devtools = context.new_cdp_session(page)

    def limit(size):
        devtools.send("Storage.overrideQuotaForOrigin", {"origin": address, "quotaSize": size})

    limit(4_000_000)
    yield context, limit
    context.close()


def test_a_full_phone_says_so_keeps_nothing_half_and_goes_on_when_there_is_room(small_phone, address, stub):
    context, limit = small_phone
    page = come_in(context, address)
    stub.down = True
    full = page.evaluate(FILL, 200)
    assert (full["name"], full["full"]) == ("NotSaved", True)
    assert [kept["seq"] for kept in kept_on(page)] == list(range(1, full["saved"] + 1))
    limit(400_000_000)
    assert save(page)["seq"] == full["saved"] + 1


def test_when_room_can_be_made_from_old_pages_the_entry_is_saved(small_phone, address, stub):
    context, limit = small_phone
    limit(9_000_000)
    page = come_in(context, address)
    worker_ready(page)
    stub.down = True
    page.evaluate(
        "async () => (await caches.open('nearest-break-shell older')).put('/older', new Response(new Uint8Array(4e6)))"
    )
    saved = 0
    while "nearest-break-shell older" in page.evaluate("caches.keys()"):
        filled = page.evaluate(FILL, 5)
        assert filled == {"saved": 5}
        saved += 5
        assert saved < 300
    assert len(kept_on(page)) == saved


def test_a_locked_out_phone_keeps_its_queue_and_comes_in_again_in_place(phone, stub):
    stub.tokens = {"newer"}
    first = save(phone)
    phone.wait_for_selector("#banners .alarm:has-text('does not let this phone in')")
    says(phone, to_send(1))
    phone.click("#banners button:has-text('Scan the code again')")
    phone.fill("#code", f"https://pit.example/pit/phone/#k={KEY}")
    phone.click("button.main")
    says(phone, SENT)
    second = save(phone)
    says(phone, SENT)
    assert [(entry["device"], entry["seq"]) for entry in (first, second)] == [
        (str(uuid.UUID(int=1)), 1),
        (str(uuid.UUID(int=2)), 1),
    ]
    assert first["epoch"] != second["epoch"]
    assert stub.entries == {entry["id"]: entry for entry in (first, second)}


@pytest.mark.parametrize("new_life", [True, False], ids=["with a new life", "from a copied file"])
def test_what_a_restored_server_has_forgotten_is_sent_again(phone, stub, new_life):
    for mark in (501, 502, 503, 504):
        save(phone, mark)
        says(phone, SENT)
    whole = dict(stub.entries)
    stub.entries = {id: entry for id, entry in stub.entries.items() if entry["seq"] <= 1}
    if new_life:
        stub.server_epoch = str(uuid.uuid4())
    phone.evaluate("() => dispatchEvent(new Event('online'))")
    for _ in range(200):
        phone.wait_for_timeout(0 if stub.entries == whole else 50)
    assert stub.entries == whole
    says(phone, SENT)


def test_another_life_of_the_server_is_told_all_above_what_it_has(phone, stub):
    """Its last number alone says nothing here: the second entry had never come."""
    entries = []
    stub.before = lambda said: problem(422) if any(e["values"]["mark"] == 666 for e in said["entries"]) else None
    for mark in (501, 666, 503):
        entries.append(save(phone, mark))
        phone.wait_for_timeout(300)
    until(phone, f"async () => {{ {APP} return outbox.all()[2].waiting === 0; }}")
    stub.entries = {entries[0]["id"]: entries[0]}
    stub.server_epoch = str(uuid.uuid4())
    phone.evaluate("() => dispatchEvent(new Event('online'))")
    for _ in range(100):
        phone.wait_for_timeout(0 if len(stub.entries) == 2 else 50)
    assert set(stub.entries) == {entries[0]["id"], entries[2]["id"]}


def test_an_entry_too_large_or_unreadable_does_not_hold_up_the_others(phone, stub):
    stub.down = True
    entries = [save(phone, mark) for mark in (501, 666, 503)]
    stub.before = lambda said: problem(422) if any(e["values"]["mark"] == 666 for e in said["entries"]) else None
    stub.down = False
    phone.evaluate("() => dispatchEvent(new Event('online'))")
    phone.wait_for_selector("#banners .alarm:has-text('1 saved here cannot be read')")
    assert set(stub.entries) == {entries[0]["id"], entries[2]["id"]}
    says(phone, to_send(1))


def test_too_much_at_once_is_sent_in_halves(phone, stub):
    stub.down = True
    for mark in range(501, 509):
        save(phone, mark)
    stub.before = lambda said: problem(413) if len(said["entries"]) > 2 else None
    stub.down = False
    phone.evaluate("() => dispatchEvent(new Event('online'))")
    says(phone, SENT)
    assert len(stub.entries) == 8


def test_at_most_fifty_go_in_one_request(phone, stub):
    stub.down = True
    phone.evaluate(
        f"async () => {{ {APP} for (let mark = 400; mark < 520; mark++) await outbox.save({{ session: 7, event: 3,"
        " role: 'recorder', kind: 'jumped', values: { entry: '31', round: 1, result: 'mark', mark } }); }"
    )
    stub.down = False
    phone.evaluate("() => dispatchEvent(new Event('online'))")
    says(phone, SENT)
    sizes = [len(push["entries"]) for push in stub.pushes]
    assert (sum(sizes), max(sizes)) == (120, 50)
    assert max(len(json.dumps(push)) for push in stub.pushes) < 64 * 1024


def test_a_clock_that_jumps_changes_neither_order_nor_queue(chromium, address, stub):
    context = chromium.new_context()
    page = come_in(context, address)
    stub.down = True
    for jump in (0, 86_400_000, -172_800_000):
        page.evaluate("by => { const now = Date.now; Date.now = () => now.call(Date) + by; }", jump)
        save(page)
    stub.down = False
    page.evaluate("() => dispatchEvent(new Event('online'))")
    says(page, SENT)
    entries = [entry for push in stub.pushes for entry in push["entries"]]
    assert [entry["seq"] for entry in entries] == [1, 2, 3]
    assert entries[1]["wall"] > entries[0]["wall"] > entries[2]["wall"]
    page.wait_for_selector("#banners .note:has-text('The clock of this phone is wrong')")
    context.close()


def test_times_are_put_right_by_the_servers_clock(phone, stub):
    entry = save(phone)
    assert abs(entry["wall"] + entry["offset"] - 1_778_000_000_000) < 60_000


def test_a_store_deleted_under_an_open_page_is_filled_again(phone, stub):
    stub.down = True
    before = [save(phone, mark) for mark in (501, 502)]
    phone.evaluate(DELETE)
    after = save(phone, 503)
    assert (after["seq"], after["epoch"] == before[0]["epoch"]) == (1, False)
    stub.down = False
    phone.evaluate("() => dispatchEvent(new Event('online'))")
    says(phone, SENT)
    assert stub.entries == {entry["id"]: entry for entry in (*before, after)}


def test_a_store_deleted_while_the_page_was_shut_comes_back_from_the_second_copy(phone, stub, address):
    stub.down = True
    before = [save(phone, mark) for mark in (501, 502)]
    phone.goto("about:blank")
    other = phone.context.new_page()
    other.goto(f"{address}/static/base/mark.svg")
    other.evaluate(DELETE)
    other.close()
    stub.down = False
    phone.goto(f"{address}/pit/phone/")
    phone.wait_for_selector("#banners .alarm:has-text('All 2 entries came back')")
    says(phone, SENT)
    after = save(phone, 503)
    assert (after["seq"], after["device"], after["epoch"] == before[0]["epoch"]) == (1, before[0]["device"], False)
    says(phone, SENT)
    assert stub.entries == {entry["id"]: entry for entry in (*before, after)}


def test_a_phone_whose_copies_are_both_gone_says_how_many_are_missing(phone, stub, address):
    stub.down = True
    for mark in (501, 502, 503):
        save(phone, mark)
    phone.goto("about:blank")
    other = phone.context.new_page()
    other.goto(f"{address}/static/base/mark.svg")
    other.evaluate(DELETE)
    other.evaluate("async () => (await navigator.storage.getDirectory()).removeEntry('journal', { recursive: true })")
    other.close()
    stub.down = False
    phone.goto(f"{address}/pit/phone/")
    phone.wait_for_selector("#banners .alarm:has-text('Of 3 entries 0 came back; 3 are missing')")


def test_what_is_typed_but_not_saved_is_there_after_a_reload(phone):
    phone.evaluate(f"async () => {{ {APP} await outbox.setDraft('412-2-0', {{ digits: '54' }}); }}")
    phone.reload()
    assert phone.evaluate(f"async () => {{ {APP} return outbox.getDraft('412-2-0'); }}") == {"digits": "54"}


def test_the_exported_file_holds_every_entry(phone, stub):
    stub.down = True
    entries = [save(phone, mark) for mark in (501, 502)]
    phone.click("#more")
    with phone.expect_download() as download:
        phone.click("text=Save the entries as a file")
    assert download.value.suggested_filename == "phone-1-entries.json"
    with open(download.value.path(), encoding="utf-8") as file:
        assert json.load(file)["entries"] == entries


def test_somebody_else_writes_and_the_queue_stays(phone, stub):
    phone.wait_for_selector(".pit-due")
    stub.down = True
    save(phone)
    phone.click("#more")
    phone.click("text=Somebody else writes")
    phone.fill("#official", "A.  Nother")
    phone.click("button.main")
    phone.wait_for_selector("#more")
    assert save(phone)["official"] == "A. Nother"
    says(phone, to_send(3))
    kinds = {one["entry"]["kind"]: one["entry"]["values"] for one in kept_on(phone)}
    assert kinds["handed_over"] == {"to": "A. Nother"}
