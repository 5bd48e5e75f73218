"""What "on this phone" rests on: the transaction, the disk, the second copy, and that nothing is thrown away."""

import pytest

from tests.browser.phones import APP, SENT, come_in, kept_on, save, says, to_send, until
from tests.browser.pit_state import state
from tests.browser.stub import KEY, NOW_MS

pytestmark = [pytest.mark.browser, pytest.mark.slow]

REFUSED = f"""async () => {{
  {APP}
  const values = {{ entry: "31", round: 1, result: "mark", mark: 543 }};
  const draft = {{ session: 7, event: 3, role: "recorder", kind: "jumped", values }};
  return outbox.save(draft).then(() => "saved", (problem) => problem.name);
}}"""
DAY_MS = 24 * 60 * 60 * 1000
LOST_FROM = """(n) => {
  let made = 0;
  const before = IDBDatabase.prototype.transaction;
  IDBDatabase.prototype.transaction = function (...asked) {
    made += 1;
    if (made >= n && !window.mended) throw new DOMException("gone", "UnknownError");
    return before.apply(this, asked);
  };
}"""
SAYS_WHERE_IT_STANDS = """() => {
  const said = document.getElementById("state").textContent;
  return said.startsWith("Not saved") || (said === "All sent." && document.querySelector(".flag-white"));
}"""


def test_a_save_waits_for_the_disk(phone):
    """The transaction in which the entry is written, whatever else the page writes at the same moment."""
    phone.evaluate(
        """() => {
          window.written = [];
          const before = IDBObjectStore.prototype.add;
          IDBObjectStore.prototype.add = function (value, ...key) {
            if (this.name === "entries") window.written.push(this.transaction.durability);
            return before.call(this, value, ...key);
          };
        }"""
    )
    assert phone.evaluate(REFUSED) == "saved"
    assert phone.evaluate("() => window.written") == ["strict"]


def test_a_transaction_that_ends_after_its_request_succeeded_is_no_save(phone, stub):
    """The request says yes, then the disk says no."""
    phone.evaluate(
        """() => {
          const before = IDBObjectStore.prototype.add;
          IDBObjectStore.prototype.add = function (value) {
            const request = before.call(this, value);
            request.addEventListener("success", () => this.transaction.abort());
            IDBObjectStore.prototype.add = before;
            return request;
          };
        }"""
    )
    assert phone.evaluate(REFUSED) == "NotSaved"
    assert kept_on(phone) == []
    entry = save(phone)
    assert entry["seq"] == 1
    says(phone, SENT)
    assert list(stub.entries) == [entry["id"]]


@pytest.mark.parametrize("name", ["InvalidStateError", "UnknownError"])
def test_a_database_that_the_browser_lost_is_opened_once_more(phone, stub, name):
    phone.evaluate(
        """(name) => {
          const before = IDBDatabase.prototype.transaction;
          IDBDatabase.prototype.transaction = function (...asked) {
            if (asked[1] !== "readwrite") return before.apply(this, asked);
            IDBDatabase.prototype.transaction = before;
            throw new DOMException("the connection was lost", name);
          };
        }""",
        name,
    )
    save(phone)
    says(phone, SENT)
    assert len(stub.entries) == len(kept_on(phone)) == 1


def test_one_that_stays_lost_is_said(phone):
    phone.evaluate(
        """() => {
          IDBDatabase.prototype.transaction = () => { throw new DOMException("gone", "UnknownError"); };
        }"""
    )
    assert phone.evaluate(REFUSED) == "NotSaved"


def test_a_database_that_goes_at_any_moment_of_coming_in_is_said(chromium, address, stub):
    """From the first use of it to the first trial: the page says that nothing is kept, or asks for the flag."""
    stub.shown = state()
    wrong, seen = [], set()
    for lost_from in range(1, 25):
        context = chromium.new_context(viewport={"width": 360, "height": 640}, has_touch=True)
        context.set_default_timeout(15_000)
        context.on("weberror", lambda error, at=lost_from: wrong.append(f"{at}: {error.error}"))
        context.add_init_script(f"({LOST_FROM})({lost_from})")
        page = context.new_page()
        page.goto(f"{address}/pit/phone/#k={KEY}")
        page.wait_for_function("() => document.querySelector('#official, #screen h1')")
        if page.locator("#official").count():
            page.fill("#official", "R. Corder")
            page.click("button.main")
        page.wait_for_function(SAYS_WHERE_IT_STANDS)
        seen.add(page.locator("#state").text_content()[:9])
        page.wait_for_timeout(100)
        context.close()
    assert wrong == []
    assert seen == {"Not saved", "All sent."}


def test_a_database_that_comes_back_is_used_again(phone, stub):
    stub.shown = state()
    phone.evaluate(f"({LOST_FROM})(1)")
    phone.click("#more")
    phone.get_by_role("button", name="Back").click()
    phone.wait_for_function("() => document.getElementById('state').textContent.startsWith('Not saved')")
    phone.evaluate("() => { window.mended = true; }")
    phone.get_by_role("button", name="Try again").click()
    phone.wait_for_selector(".flag-white")
    says(phone, SENT)
    save(phone)
    says(phone, SENT)
    assert len(stub.entries) == 1


def test_what_was_sent_stays_on_the_phone(phone, stub, address):
    entries = [save(phone, mark) for mark in (501, 502)]
    says(phone, SENT)
    phone.reload()
    phone.wait_for_selector("#more")
    assert [(kept["entry"], kept["waiting"], kept["status"]) for kept in kept_on(phone)] == [
        (entry, 0, "stored") for entry in entries
    ]


def test_every_entry_has_its_line_in_the_second_copy(phone, stub):
    stub.down = True
    entries = [save(phone, mark) for mark in (501, 502, 503)]
    read = """async () => {
      const folder = await (await navigator.storage.getDirectory()).getDirectoryHandle("journal");
      let text = "";
      for await (const file of folder.values()) text += await (await file.getFile()).text();
      return text.split("\\n").filter(Boolean).map((line) => JSON.parse(line).entry).filter(Boolean);
    }"""
    for _ in range(100):
        phone.wait_for_timeout(0 if len(phone.evaluate(read)) == len(entries) else 50)
    assert phone.evaluate(read) == entries


@pytest.mark.parametrize(
    ("days", "over", "sent", "left"),
    [(31, True, True, 0), (29, True, True, 1), (31, False, True, 1), (31, True, False, 1)],
    ids=["after 30 days", "before that", "while the meet is open", "while it is not sent"],
)
def test_only_what_was_sent_goes_after_30_days_when_the_meet_is_over(phone, stub, days, over, sent, left):
    phone.evaluate(f"async () => {{ {APP} await outbox.setOffset({NOW_MS} - Date.now()); }}")
    if not sent:
        stub.before = lambda said: (500, "", "text/plain")
    save(phone)
    says(phone, SENT if sent else to_send(1))
    stub.now_ms, stub.over, stub.version = NOW_MS + days * DAY_MS, over, "2"
    for _ in range(80):
        phone.wait_for_timeout(0 if len(kept_on(phone)) == 0 else 50)
    assert len(kept_on(phone)) == left


def test_a_copy_of_an_older_database_begins_numbers_of_its_own(phone, stub):
    """A phone set up from the backup of another one: the server holds numbers that this one never gave."""
    first = save(phone)
    says(phone, SENT)
    other = dict(first, id="11111111-1111-4111-8111-111111111111", seq=2)
    stub.entries[other["id"]] = other
    phone.evaluate("() => dispatchEvent(new Event('online'))")
    until(phone, f"async (epoch) => {{ {APP} return outbox.stream().epoch !== epoch; }}", first["epoch"])
    second = save(phone)
    says(phone, SENT)
    assert (second["seq"], second["epoch"] == first["epoch"], second["device"]) == (1, False, first["device"])


def test_little_room_is_said_when_a_phone_comes_in(chromium, address):
    context = chromium.new_context()
    context.add_init_script(
        "StorageManager.prototype.estimate = async () => ({ quota: 60 * 1024 * 1024, usage: 20 * 1024 * 1024 });"
    )
    page = come_in(context, address)
    page.wait_for_selector("#banners .alarm:has-text('little room left')")
    context.close()
