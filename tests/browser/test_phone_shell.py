"""The page itself: opens without signal, takes a new version between events, and works without HTTPS."""

import os
import shutil
import time

import pytest

from tests.browser.phones import APP, SENT, come_in, kept_on, save, says, to_send, worker_ready
from tests.browser.stub import KEY, NEWER

pytestmark = [pytest.mark.browser, pytest.mark.slow]

LOOK_FOR_NEWER = "async () => (await navigator.serviceWorker.getRegistration()).update()"
WAITS = "async () => Boolean((await navigator.serviceWorker.getRegistration()).waiting)"
# Longer than a page takes to look at its state again.
LOOK_MS = 4000


def version_of(page):
    return page.locator("body").get_attribute("data-version")


def out_of_reach(page):
    page.wait_for_selector("#link:has-text('out of reach')")


def newer(phone, stub):
    """A newer version is on the phone, and waits."""
    worker_ready(phone)
    stub.newer = True
    phone.evaluate(LOOK_FOR_NEWER)
    for _ in range(100):
        if phone.evaluate(WAITS):
            return
        phone.wait_for_timeout(50)
    pytest.fail("no newer version came")


def test_without_signal_the_page_opens_and_says_how_things_stand(phone, stub):
    worker_ready(phone)
    assert phone.inner_text("#mode") == "Works without signal"
    stub.down = True
    phone.context.set_offline(True)
    phone.reload()
    out_of_reach(phone)
    says(phone, SENT)
    phone.wait_for_selector("#more")


def test_a_page_of_the_server_out_of_reach_leads_back_to_the_phones_own(phone, address):
    worker_ready(phone)
    phone.context.set_offline(True)
    phone.goto(f"{address}/pit/7/everybody/")
    assert phone.url == f"{address}/pit/phone/"
    phone.wait_for_selector("#more")


def test_answers_of_the_server_are_never_kept_as_files(phone, stub):
    worker_ready(phone)
    save(phone)
    says(phone, SENT)
    kept = phone.evaluate(
        "async () => (await Promise.all((await caches.keys()).map(async (name) =>"
        " (await (await caches.open(name)).keys()).map((request) => new URL(request.url).pathname)))).flat()"
    )
    assert "/pit/phone/" in kept
    assert [path for path in kept if path.startswith("/sync/")] == []


def test_a_newer_version_waits_while_an_event_is_going_on(phone, stub):
    before = version_of(phone)
    newer(phone, stub)
    phone.wait_for_timeout(LOOK_MS)
    assert (version_of(phone), phone.evaluate(WAITS)) == (before, True)
    phone.reload()
    phone.wait_for_selector("#more")
    assert version_of(phone) == before


def test_a_newer_version_is_taken_when_no_event_is_open(phone, stub):
    newer(phone, stub)
    stub.over, stub.version = True, "2"
    phone.wait_for_function("newer => document.body.dataset.version === newer", arg=NEWER)
    phone.wait_for_selector("#more")
    assert phone.evaluate("caches.keys()") == [f"nearest-break-shell {NEWER}"]


def test_a_newer_version_waits_while_something_is_not_sent(phone, stub):
    before = version_of(phone)
    newer(phone, stub)
    stub.before = lambda said: (500, "", "text/plain")
    save(phone)
    stub.over, stub.version = True, "2"
    phone.wait_for_timeout(LOOK_MS)
    assert version_of(phone) == before
    stub.before = lambda said: None
    phone.wait_for_function("newer => document.body.dataset.version === newer", arg=NEWER)
    says(phone, SENT)
    assert len(kept_on(phone)) == len(stub.entries) == 1


def test_a_newer_version_can_be_taken_by_hand_between_two_trials(phone, stub):
    newer(phone, stub)
    phone.click("#more")
    phone.click("text=Take the newer version")
    phone.wait_for_function("newer => document.body.dataset.version === newer", arg=NEWER)


def test_a_code_is_typed_as_keyboards_of_phones_write_it(chromium, address):
    context = chromium.new_context()
    page = context.new_page()
    page.goto(f"{address}/pit/phone/")
    page.fill("#official", "R. Corder")
    page.fill("#code", f"{KEY[:5].capitalize()} {KEY[5:]} ")
    page.click("button.main")
    page.wait_for_selector("#more")
    context.close()


def test_without_scripts_the_page_says_what_to_do(chromium, address):
    context = chromium.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{address}/pit/phone/")
    assert page.locator("h1").all_inner_texts() == ["This page needs JavaScript"]
    assert page.locator("main a.button").get_attribute("href") == "/pit/"
    context.close()


def test_a_code_that_is_not_known_is_said_and_asked_for_again(chromium, address):
    context = chromium.new_context()
    page = context.new_page()
    page.goto(f"{address}/pit/phone/#k={KEY}x")
    page.fill("#official", "R. Corder")
    page.click("button.main")
    page.wait_for_selector(".alarm:has-text('so it is')")
    page.reload()
    assert page.locator("#code").count() == 0
    context.close()


def test_a_browser_that_cannot_store_is_told_to_take_paper(chromium, address):
    context = chromium.new_context()
    context.add_init_script("Object.defineProperty(window, 'indexedDB', { get: () => undefined })")
    page = context.new_page()
    page.goto(f"{address}/pit/phone/#k={KEY}")
    page.wait_for_selector("h1:has-text('This phone cannot keep anything')")
    assert page.inner_text("#state") == "Not saved: write it on paper."
    context.close()


# Without HTTPS

HOST = "pit.example"


@pytest.fixture
def plain_http(chromium, address):
    """A browser to which the laptop is a host without HTTPS, as on a field."""
    path = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
    flags = ["--no-sandbox", "--disable-gpu", "--no-first-run", f"--host-resolver-rules=MAP {HOST} 127.0.0.1"]
    browser = chromium.browser_type.launch(executable_path=path, args=flags)
    yield browser.new_context(viewport={"width": 360, "height": 640}), address.replace("127.0.0.1", HOST)
    browser.close()


def test_without_https_entries_are_kept_numbered_hashed_and_sent(plain_http, stub):
    page = come_in(*plain_http)
    assert page.evaluate("[isSecureContext, Boolean(navigator.locks), Boolean(crypto.subtle)]") == [False] * 3
    assert page.inner_text("#mode") == "Keep this page open; nothing saved is lost"
    stub.down = True
    entry = save(page)
    says(page, to_send(1))
    assert len(entry["hash"]) == 64
    stub.down = False
    says(page, SENT)
    assert stub.entries == {entry["id"]: entry}


def test_without_https_two_tabs_have_one_sender(plain_http, stub):
    context, address = plain_http
    page = come_in(context, address)
    other = context.new_page()
    other.goto(f"{address}/pit/phone/")
    other.wait_for_selector("#more")
    stub.down = True
    for _ in range(4):
        save(page)
        save(other)
    says(other, to_send(8))
    stub.before = lambda said: time.sleep(0.4)
    stub.down = False
    for tab in (page, other):
        tab.evaluate("() => dispatchEvent(new Event('online'))")
    for tab in (page, other):
        says(tab, SENT)
    assert sorted(entry["seq"] for entry in stub.entries.values()) == list(range(1, 9))
    assert stub.doubled == 0


def test_without_https_a_sender_that_died_is_followed_by_the_next(plain_http, stub):
    page = come_in(*plain_http)
    page.evaluate(
        f"async () => {{ {APP} await outbox.setMeta('sender', {{ tab: 'gone', until: Date.now() + 8000 }}); }}"
    )
    save(page)
    assert page.inner_text("#state") == to_send(1)
    says(page, SENT)


def test_without_https_a_store_deleted_under_the_page_is_filled_from_memory(plain_http, stub):
    page = come_in(*plain_http)
    stub.down = True
    before = save(page, 501)
    page.evaluate(
        "() => new Promise((ok) => { indexedDB.deleteDatabase('nearest-break-pit').onsuccess = () => ok(); })"
    )
    after = save(page, 502)
    stub.down = False
    says(page, SENT)
    assert stub.entries == {entry["id"]: entry for entry in (before, after)}
