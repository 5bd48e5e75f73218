"""A browser killed while it saves has every entry that it called saved."""

import os
import shutil
import signal
import subprocess
import time

import pytest

from tests.browser.phones import APP, come_in
from tests.browser.stub import CUT

pytestmark = [pytest.mark.browser, pytest.mark.slow]

KILLS = int(os.environ.get("NEAREST_BREAK_KILLS", "3"))
LEAST_SAVED = 20
LOOP = f"""async () => {{
  {APP}
  (async () => {{
    for (let mark = 300; ; mark++) {{
      const values = {{ entry: "31", round: 1, result: "mark", mark: 300 + (mark % 500) }};
      const entry = await outbox.save({{ session: 7, event: 3, role: "recorder", kind: "jumped", values }});
      await fetch("/sync/v1/ledger", {{ method: "POST", body: JSON.stringify({{ id: entry.id }}) }});
    }}
  }})();
}}"""


class Browser:
    """Chromium as a group of processes of its own, which can be killed at any moment."""

    def __init__(self, playwright_browser_type, profile):
        path = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
        for lock in profile.glob("Singleton*"):
            lock.unlink()
        port = profile / "DevToolsActivePort"
        port.unlink(missing_ok=True)
        flags = ["--headless=new", "--no-sandbox", "--disable-gpu", "--disable-background-networking", "--no-first-run"]
        self.process = subprocess.Popen(
            [path, *flags, "--remote-debugging-port=0", f"--user-data-dir={profile}", "about:blank"],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        for _ in range(200):
            if port.exists() and port.read_text().strip():
                break
            time.sleep(0.05)
        self.connection = playwright_browser_type.connect_over_cdp(f"http://127.0.0.1:{port.read_text().split()[0]}")
        self.context = self.connection.contexts[0]

    def kill(self):
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()
        self.connection.close()


def test_a_browser_killed_while_it_saves_loses_nothing_that_it_called_saved(
    chromium, address, stub, tmp_path, record_property
):
    for kill in range(KILLS):
        browser = Browser(chromium.browser_type, tmp_path)
        page = come_in(browser.context, address) if kill == 0 else browser.context.new_page()
        if kill:
            page.goto(f"{address}/pit/phone/")
            page.wait_for_selector("#more")
            kept = page.evaluate(f"async () => {{ {APP} return outbox.all().map((kept) => kept.id); }}")
            assert set(stub.ledger) <= set(kept)
        stub.before = lambda said: CUT
        aim = len(stub.ledger) + LEAST_SAVED + 7 * kill % 60
        page.evaluate(LOOP)
        while len(stub.ledger) < aim:
            page.wait_for_timeout(5)
        browser.kill()
    stub.before = lambda said: None
    browser = Browser(chromium.browser_type, tmp_path)
    page = browser.context.new_page()
    page.goto(f"{address}/pit/phone/")
    page.set_default_timeout(120_000)
    page.wait_for_function("() => document.getElementById('state').textContent === 'All sent.'")
    browser.kill()
    record_property("kills", KILLS)
    record_property("entries", len(stub.ledger))
    assert set(stub.ledger) <= set(stub.entries)
    assert len({entry["seq"] for entry in stub.entries.values()}) == len(stub.entries)
