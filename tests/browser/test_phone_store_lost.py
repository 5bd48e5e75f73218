"""A phone that is in the middle of something when its database goes, fills up or comes back."""

import pytest

from tests.browser.phones import SENT, says
from tests.browser.pit_state import state
from tests.browser.stub import KEY
from tests.browser.test_phone_store import LOST_FROM

pytestmark = [pytest.mark.browser, pytest.mark.slow]
NOT = "() => document.getElementById('state').textContent.startsWith('Not saved')"


def broken(phone):
    phone.evaluate(f"({LOST_FROM})(1)")


def mend(phone):
    phone.evaluate("() => { window.mended = true; }")


def through_menu(phone):
    phone.click("#more")
    phone.get_by_role("button", name="Back").click()
    phone.wait_for_function(NOT)


def test_a_draw_that_waited_for_the_finger_does_not_cover_the_menu(phone, stub):
    stub.shown = state()
    phone.reload()
    phone.wait_for_selector(".flag-white")
    phone.evaluate("""async () => {
      const more = document.getElementById("more");
      more.dispatchEvent(new PointerEvent("pointerdown", { bubbles: true }));
      const { outbox } = await (await import('/static/pit/phone/app.js')).app;
      await outbox.setOfficial("R. Corder");   // anything that changes while the finger is down
      await new Promise((ok) => setTimeout(ok, 50));
      more.dispatchEvent(new PointerEvent("pointerup", { bubbles: true }));
      more.click();
    }""")
    phone.wait_for_timeout(500)
    assert phone.get_by_role("button", name="Back").count() == 1
    assert phone.locator(".flag-white").count() == 0


def test_not_saved_goes_when_the_phone_comes_in_with_another_code(phone, stub):
    stub.shown = state()
    broken(phone)
    through_menu(phone)
    mend(phone)
    phone.evaluate(f"() => {{ location.hash = 'k={KEY}'; }}")
    phone.fill("#official", "R. Corder")
    phone.click("button.main")
    phone.wait_for_selector(".flag-white")
    says(phone, SENT)


def test_a_code_scanned_while_nothing_is_stored_is_not_forgotten(phone, stub):
    stub.shown = state()
    broken(phone)
    phone.evaluate(f"() => {{ location.hash = 'k={KEY}'; }}")
    phone.wait_for_function(NOT)
    mend(phone)
    phone.get_by_role("button", name="Try again").click()
    phone.wait_for_selector("#official, .flag-white")
    assert phone.locator("#official").count() == 1


def test_what_was_not_saved_is_still_said_after_trying_the_store_again(phone, stub):
    """The save of an entry failed, then the database came back: the entry is on no disk."""
    stub.shown = state()
    phone.reload()
    phone.wait_for_selector(".flag-white")
    phone.wait_for_timeout(600)
    broken(phone)
    phone.get_by_role("button", name="Not here").first.click()
    phone.wait_for_timeout(600)
    phone.locator("#screen button").filter(has_text="Goes away").first.click()
    phone.wait_for_function(NOT)
    through_menu(phone)
    phone.get_by_role("button", name="Try again").wait_for()
    mend(phone)
    phone.get_by_role("button", name="Try again").click()
    phone.wait_for_timeout(1500)
    phone.wait_for_selector("#more:not([hidden])")
    assert phone.evaluate(NOT)


def test_the_state_in_memory_is_shown_after_the_menu(phone, stub):
    """Out of reach, and the copy of the state on the disk was given up to make room."""
    stub.shown = state()
    phone.reload()
    phone.wait_for_selector(".flag-white")
    stub.down = True
    phone.evaluate(
        """() => new Promise((ok) => {
          const asked = indexedDB.open("nearest-break-pit");
          asked.onsuccess = () => {
            const tx = asked.result.transaction("states", "readwrite");
            tx.objectStore("states").clear();
            tx.oncomplete = () => { asked.result.close(); ok(); };
          };
        })"""
    )
    phone.click("#more")
    phone.get_by_role("button", name="Back").click()
    phone.wait_for_selector(".flag-white")


def test_a_full_store_makes_room_for_who_writes_too(phone, stub):
    stub.shown = state()
    phone.reload()
    phone.wait_for_selector(".flag-white")
    phone.evaluate("""() => {
      const put = IDBObjectStore.prototype.put, clear = IDBObjectStore.prototype.clear;
      window.full = true;
      IDBObjectStore.prototype.clear = function () { window.full = false; return clear.call(this); };
      IDBObjectStore.prototype.put = function (...asked) {
        if (window.full) throw new DOMException("full", "QuotaExceededError");
        return put.apply(this, asked);
      };
    }""")
    phone.click("#more")
    phone.get_by_role("button", name="Back").click()
    phone.wait_for_selector(".flag-white, #screen h1:has-text('cannot keep')")
    phone.wait_for_selector(".flag-white")


def test_who_writes_now_is_not_forgotten_when_the_store_comes_back(phone, stub):
    stub.shown = state()
    broken(phone)
    phone.click("#more")
    phone.locator("#screen button").first.click()
    phone.fill("#official", "New Writer")
    phone.locator("#screen button.main").click()
    phone.wait_for_function(NOT)
    phone.get_by_role("button", name="Try again").click()
    phone.wait_for_timeout(300)
    mend(phone)
    phone.get_by_role("button", name="Try again").click()
    phone.wait_for_selector(".flag-white")
    phone.click("#more")
    assert "New Writer" in phone.locator("#screen").inner_text()
