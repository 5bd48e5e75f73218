"""What a test does with the page of a phone."""

from tests.browser.stub import KEY

APP = "const { outbox, sync } = await (await import('/static/pit/phone/app.js')).app;"
SAVE = f"""async (mark) => {{
  {APP}
  const values = {{ entry: "31", round: 1, result: "mark", mark }};
  const entry = await outbox.save({{ session: 7, event: 3, role: "recorder", kind: "jumped", values }});
  sync.kick();
  return entry;
}}"""
KEPT = f"async () => {{ {APP} return outbox.all(); }}"
SENT = "All sent."
DELETE = """() => new Promise((ok, no) => {
  const asked = indexedDB.deleteDatabase("nearest-break-pit");
  asked.onsuccess = () => ok();
  asked.onerror = no;
})"""


def come_in(context, address):
    page = context.new_page()
    page.set_default_timeout(15_000)
    page.goto(f"{address}/pit/phone/#k={KEY}")
    page.fill("#official", "R. Corder")
    page.click("button.main")
    page.wait_for_selector("#more")
    return page


def says(page, text):
    page.wait_for_function("text => document.getElementById('state').textContent === text", arg=text)


def to_send(n):
    return f"On this phone. {n} to send."


def save(page, mark=543):
    return page.evaluate(SAVE, mark)


def kept_on(page):
    return page.evaluate(KEPT)


def worker_ready(page):
    page.wait_for_function("() => navigator.serviceWorker.controller")


def until(page, script, arg=None):
    """Wait until an asynchronous script gives something true."""
    for _ in range(200):
        if page.evaluate(script, arg):
            return
        page.wait_for_timeout(50)
    raise AssertionError(f"never true: {script}")
