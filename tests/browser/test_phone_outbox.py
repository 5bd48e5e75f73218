"""What is saved on a phone stays there and reaches the server, whatever the browser, the network and the server do."""

import pytest

from tests.browser.stub import KEY, Stub, served

pytestmark = [pytest.mark.browser, pytest.mark.slow]

SAVE = """async (mark) => {
  const { outbox, sync } = await (await import("/static/pit/phone/app.js")).app;
  const values = { entry: "31", round: 1, result: "mark", mark };
  const entry = await outbox.save({ session: 7, event: 3, role: "recorder", kind: "jumped", values });
  sync.kick();
  return entry;
}"""
SENT = "All sent."


@pytest.fixture
def stub():
    return Stub()


@pytest.fixture
def address(stub, settings):
    settings.ALLOWED_HOSTS = ["*"]
    with served(stub) as address:
        yield address


@pytest.fixture
def phone(chromium, address):
    """A phone that has come in as a recorder; what goes wrong in its scripts fails the test."""
    context = chromium.new_context(viewport={"width": 360, "height": 640}, has_touch=True)
    wrong = []
    context.on("weberror", lambda error: wrong.append(str(error.error)))
    yield come_in(context, address)
    context.close()
    assert wrong == []


def come_in(context, address):
    page = context.new_page()
    page.set_default_timeout(10_000)
    page.goto(f"{address}/pit/phone/#k={KEY}")
    page.fill("#official", "R. Corder")
    page.click("button.main")
    page.wait_for_selector("#screen h1:has-text('Long jump girls')")
    return page


def state_of(page):
    return page.inner_text("#state")


def says(page, text):
    page.wait_for_function("text => document.getElementById('state').textContent === text", arg=text)


def save(page, mark=543):
    return page.evaluate(SAVE, mark)


def worker_ready(page):
    page.wait_for_function("navigator.serviceWorker.controller")


def test_the_secret_leaves_the_address_bar(phone, address):
    assert phone.url == f"{address}/pit/phone/"


def test_saved_offline_seen_again_after_a_reload_and_sent_when_there_is_a_way(phone, stub):
    worker_ready(phone)
    phone.context.set_offline(True)
    entry = save(phone)
    says(phone, "On this phone. 1 to send.")
    phone.reload()
    says(phone, "On this phone. 1 to send.")
    assert stub.entries == {}
    phone.context.set_offline(False)
    says(phone, SENT)
    assert stub.entries == {entry["id"]: entry}
