"""A field sheet typed without a mouse, every key press counted."""

import pytest
from django.conf import settings
from django.urls import reverse

from meets.models import TypedSheet
from meets.running import actions
from meets.running.actions import DESK
from meets.running.reads import state_of
from scoring.facts import Drawn
from scoring.state import Stage
from tests.factories import START, EntryFactory, EventFactory, OrganiserFactory

pytestmark = [pytest.mark.browser, pytest.mark.slow]

MOST_KEYS = 600
BIBS = ["31", "17", "4", "22", "108", "9", "40", "13", "77", "6", "55", "28", "60", "12"]
# As a recorder writes it: three rounds in the order of the start list, then the best eight, best last.
FIRST = """
31  512+12 x      498-3
17  477+3  481+10 x
4   x      455+0  462+14
22  540+8  528-2  545+21
108 433+5  x      441+6
9   x      x      429+11
40  505+9  511+4  -
13  466-7  470+2  458+1
77  489+13 x      493+16
6   421+2  430-5  x
55  533+18 519+7  524+3
28  449+6  452+0  x
60  x      416+1  438-4
12  497+10 486+12 501+5
"""
LATER = """
13  473+8  x      469+2
17  x      484+6  480-1
77  495+11 x      488+9
12  503+4  499+14 x
40  515+7  -      509+2
31  x      518+10 507+13
55  530+5  x      536+12
22  x      549+15 543+3
"""
MORE = {"4": "462", "13": "470"}


def lines_of(table):
    return [line.split() for line in table.strip().splitlines()]


class Fingers:
    """Types on a page and counts every key press."""

    def __init__(self, page):
        self.page, self.pressed = page, 0

    def press(self, *keys):
        for key in keys:
            self.page.keyboard.press(key)
            self.pressed += 1

    def box(self, text):
        """One box with its wind: `540+8`, `498-3`, `x`."""
        for sign in "+-":
            mark, found, wind = text.partition(sign)
            if found and mark:
                self.press(*mark, "Enter", *(wind if sign == "+" else f"-{wind}"), "Enter")
                return
        self.press(text, "Enter")


@pytest.fixture
def event(transactional_db):
    event = EventFactory(discipline="LJ", boards_cm=[100])
    for bib in BIBS:
        EntryFactory(event=event, bib=bib, seed_mark=None)
    keys = {entry.bib: str(entry.pk) for entry in event.entries.all()}
    drawn = actions.NewRow(Drawn((tuple(keys[bib] for bib in BIBS),)))
    actions.record(event_id=event.pk, facts=[drawn], by="Desk", recorder=DESK, now=START)
    return event


@pytest.fixture
def page(chromium, live_server, client, transactional_db):
    client.force_login(OrganiserFactory())
    context = chromium.new_context(viewport={"width": 1366, "height": 768})
    cookie = client.cookies[settings.SESSION_COOKIE_NAME].value
    context.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": cookie, "url": live_server.url}])
    page = context.new_page()
    page.set_default_timeout(10_000)
    problems = []
    page.on("pageerror", lambda problem: problems.append(str(problem)))
    page.on("console", lambda said: problems.append(said.text) if said.type == "error" else None)
    yield page
    context.close()
    assert problems == []


def type_along_lines(fingers):
    for _bib, *boxes in lines_of(FIRST):
        for box in boxes:
            fingers.box(box)
    fingers.press("Enter")  # no spare line
    for bib, *boxes in lines_of(LATER):
        fingers.press(*bib, "Enter")
        for box in boxes:
            fingers.box(box)
    fingers.press("Enter")  # no ninth line
    fingers.press("Enter")  # keep it


def type_along_rounds(fingers):
    for round in (1, 2, 3):
        for line in lines_of(FIRST):
            fingers.box(line[round])
        if round == 1:
            assert fingers.page.evaluate("document.activeElement.name") == "t_1_1_2"
    fingers.press("Enter")  # no spare line
    for bib, *_boxes in lines_of(LATER):
        fingers.press(*bib, "Enter")
    fingers.press("Enter")
    for round in (1, 2, 3):
        for line in lines_of(LATER):
            fingers.box(line[round])
    fingers.press("Enter")


def expected_boxes():
    found = {}
    for first, table in ((1, FIRST), (4, LATER)):
        for bib, *boxes in lines_of(table):
            for round, box in enumerate(boxes, first):
                found.setdefault(bib, {})[str(round)] = written(box)
    return found


def written(box):
    if box in ("x", "-"):
        return [box, ""]
    mark, sign, wind = box.partition("+") if "+" in box else box.partition("-")
    tenths = int(wind)
    return [f"{mark[0]}.{mark[1:]}", "0.0" if not tenths else f"{sign}{tenths // 10}.{tenths % 10}"]


@pytest.mark.parametrize("along", ["lines", "rounds"])
def test_a_sheet_of_fourteen_by_keys_alone(page, live_server, event, along, record_property):
    assert sum(len(line) - 1 for line in [*lines_of(FIRST), *lines_of(LATER)]) == 14 * 3 + 8 * 3
    page.goto(live_server.url + reverse("grid:event", args=[event.meet.slug, event.pk]))
    fingers = Fingers(page)
    if along == "rounds":
        page.check("input[name=along][value=rounds]")
        page.focus("[name=t_1_1_1]")
    (type_along_lines if along == "lines" else type_along_rounds)(fingers)
    page.wait_for_url("**/grid/sheet/**")
    record_property("keys", fingers.pressed)
    assert fingers.pressed <= MOST_KEYS
    sheet = TypedSheet.objects.get()
    assert sheet.cells["first"]["boxes"] == expected_boxes()
    assert sheet.cells["first"]["lines"] == {"1": BIBS, "4": [line[0] for line in lines_of(LATER)]}
    assert not event.log.filter(kind="jumped").exists()


def test_both_typings_agree_and_the_event_is_finished(page, live_server, event):
    page.goto(live_server.url + reverse("grid:event", args=[event.meet.slug, event.pk]))
    type_along_lines(Fingers(page))
    page.wait_for_url("**/grid/sheet/**")
    page.click("main a.button.main")
    page.wait_for_url("**/again/")
    assert page.locator("input.box").evaluate_all("boxes => boxes.every((box) => !box.value)")
    page.fill("[name=typed_by]", "B. Lodder")
    page.focus("[name=t_1_1_1]")
    type_along_lines(Fingers(page))
    page.wait_for_url("**/grid/sheet/*/")
    for tick in page.locator("[name=ticked]").all():
        tick.check()
    page.click(".grid-preview button.main")
    page.wait_for_url("**/desk/**")
    state = state_of(event)
    assert state.stage is Stage.FINISHED
    assert [state.entry(p.entry).line.bib for p in state.places if p.place and p.place <= 3] == ["22", "55", "31"]


def test_arrows_escape_and_the_way_back(page, live_server, event):
    page.goto(live_server.url + reverse("grid:event", args=[event.meet.slug, event.pk]))
    here = lambda: page.evaluate("document.activeElement.name")  # noqa: E731
    fingers = Fingers(page)
    assert here() == "t_1_1_1"
    fingers.press("ArrowDown")
    assert here() == "t_1_2_1"
    fingers.press("ArrowRight", "ArrowRight")
    assert here() == "t_1_2_2"
    fingers.press("ArrowUp", "ArrowLeft")
    assert here() == "w_1_1_1"
    fingers.press(*"12", "Escape")
    assert page.input_value("[name=w_1_1_1]") == ""
    page.focus("[name=t_1_1_1]")
    fingers.press(*"512", "Space")
    assert (here(), page.input_value("[name=t_1_1_1]")) == ("w_1_1_1", "5.12")
    fingers.press(*"-3", "Enter", "Shift+Enter")
    assert (here(), page.input_value("[name=w_1_1_1]")) == ("w_1_1_1", "-0.3")
    page.focus("[name=t_1_2_1]")
    fingers.press("/", "Enter")
    assert (here(), page.input_value("[name=t_1_2_1]")) == ("t_1_2_2", "x")
    fingers.press("r", "Enter")
    assert here() == "t_1_3_1"
    fingers.press("d", "Enter")
    assert here() == "t_1_4_1"
    page.check("[name=no_gauge]")
    page.focus("[name=t_1_4_1]")
    fingers.press(*"498", "Enter")
    assert here() == "t_1_4_2"


def test_a_typed_bib_says_whose_it_is(page, live_server, event):
    page.goto(live_server.url + reverse("grid:event", args=[event.meet.slug, event.pk]))
    page.focus("[name=bib_4_1]")
    fingers = Fingers(page)
    fingers.press(*"22", "Enter")
    row = page.locator("tr:has([name=bib_4_1]) [data-who]")
    assert (
        row.inner_text()
        == str(event.entries.get(bib="22").athlete) + " " + event.entries.get(bib="22").athlete.school.code
    )
    page.focus("[name=bib_4_2]")
    fingers.press(*"99", "Enter")
    assert page.locator("tr:has([name=bib_4_2]) [data-who]").inner_text() == "? not in this event"
