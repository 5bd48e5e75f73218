"""A whole event on three phones, for a round without signal: the result sheet says what stands on paper."""

import random

import pytest
from django.utils import timezone

from meets.pit.keys.actions import Wanted, make_keys
from meets.running import actions
from meets.running.actions import DESK
from meets.running.reads import state_of
from meets.sheets.reads import known
from meets.sheets.results import result_sheet
from tests.browser.officials import GHOST_MS, Phone
from tests.browser.phones import says, worker_ready
from tests.factories import START, EntryFactory, EventFactory, PitSessionFactory, SessionPartFactory

pytestmark = [pytest.mark.browser, pytest.mark.slow]

ATHLETES, GO_ON, CUT_AFTER, ROUNDS = 14, 8, 2, 3
OFFLINE_ROUND = 2
DUE = {"trials": "how many trials each takes", "cut": "The cut after round", "close": "close the event"}


@pytest.fixture
def event(transactional_db):
    event = EventFactory(
        discipline="LJ", boards_cm=[100], meet__date=timezone.now().date(),
        rule_changes={"cuts": f"{CUT_AFTER}:{GO_ON}"},
    )  # fmt: skip
    for n in range(ATHLETES):
        EntryFactory(event=event, bib=str(11 + n), seed_mark=None, board_cm=None)
    actions.draw(event_id=event.pk, seed=7, by="Desk", recorder=DESK, now=START)
    return event


@pytest.fixture
def session(event):
    session = PitSessionFactory(pit__meet=event.meet)
    SessionPartFactory(event=event, session=session)
    return session


@pytest.fixture
def official(chromium, live_server, session):
    contexts, wrong = [], []

    def come_in(role):
        wanted = [Wanted(where=session, roles=(role,))]
        (made,) = make_keys(meet=session.pit.meet, wanted=wanted, by="Desk", now=timezone.now())
        context = chromium.new_context(viewport={"width": 360, "height": 740}, has_touch=True)
        contexts.append(context)
        context.on("weberror", lambda error: wrong.append(str(error.error)))
        page = context.new_page()
        page.set_default_timeout(20_000)
        page.goto(f"{live_server.url}/pit/phone/#k={made.secret}")
        page.fill("#official", role.title())
        page.click("button.main")
        page.wait_for_selector("#screen :is(.pit-up, .pit-tools)")
        return Phone(page)

    yield come_in
    for context in contexts:
        context.close()
    assert wrong == []


class Paper:
    """What the pencil wrote: by bib, a mark in cm, x or -, and the reading in tenths."""

    def __init__(self):
        self.lines: dict[str, list[tuple[int | str, int | None]]] = {str(11 + n): [] for n in range(ATHLETES)}
        self.dice = random.Random(41)

    def jump(self, bib, round):
        """Something new for this bib: a pass now and then, but not while nobody at the gauge could know of it."""
        happens = self.dice.random()
        if happens < 0.06 and round != OFFLINE_ROUND:
            said = ("-", None)
        else:
            # Calm air that neither turns nor stands still, marks that nobody asks about.
            said = ("x" if happens < 0.2 else self.dice.randint(455, 515), self.dice.choice([3, 5, 7, 9, 11]))
        self.lines[bib].append(said)
        return said

    def marks(self, bib):
        return sorted((what for what, _wind in self.lines[bib] if what not in ("x", "-")), reverse=True)

    def ranking(self):
        """Best first; equal bests by the next one."""
        return sorted((bib for bib in self.lines if self.marks(bib)), key=self.marks, reverse=True)

    def written(self, bib):
        """As a result sheet writes it, trial and wind."""
        return tuple(
            (f"{what / 100:.2f}" if isinstance(what, int) else what, "" if wind is None else f"+{wind / 10:.1f}")
            for what, wind in self.lines[bib]
        )


def wait_for_bib(phone, bib):
    phone.page.wait_for_function(
        "bib => document.querySelector('.pit-bib')?.textContent === bib && !document.querySelector('.confirm')", arg=bib
    )


def one_trial(recorder, gauge, paper, round):
    bib = recorder.bib
    what, wind = paper.jump(bib, round)
    if wind is not None:
        wait_for_bib(gauge, bib)
        gauge.type(f"+{wind}e")
        gauge.confirm()
    recorder.type({"x": "x", "-": "-"}.get(what, f"w{what}e"))
    if what == "x":
        recorder.type("1")
    if recorder.step == "ask":
        recorder.tap("#screen .pit-questions .main")
    recorder.confirm()
    recorder.page.wait_for_timeout(GHOST_MS)
    return bib


def play(recorder, gauge, paper, round, many):
    return [one_trial(recorder, gauge, paper, round) for _ in range(many)]


def decide(referee, live_server, what):
    """On the page of the server that the phone of the referee opens."""
    link = referee.page.locator(f".pit-line:has-text('{DUE[what]}') a")
    link.wait_for()
    link.click()
    referee.page.click(f"button[name=do][value={what}]")
    referee.page.wait_for_load_state()
    referee.page.goto(f"{live_server.url}/pit/phone/")
    referee.page.wait_for_selector("#screen .pit-tools")


def test_the_result_of_an_event_on_three_phones_is_what_stands_on_paper(official, live_server, event):
    paper = Paper()
    referee, recorder, gauge = official("referee"), official("recorder"), official("gauge")
    referee.press("Sand, runway and board")
    for line in ("Sand dug", "Rakes away", "Runway dry", "Zero of the tape"):
        referee.press(line)
    referee.press("Sign off")
    worker_ready(recorder.page)
    recorder.page.wait_for_function("() => !document.querySelector('#screen').textContent.includes('nobody may jump')")

    first = play(recorder, gauge, paper, 1, ATHLETES)
    assert sorted(first) == sorted(paper.lines)
    says(recorder.page, "All sent.")
    decide(referee, live_server, "trials")

    recorder.page.context.set_offline(True)
    assert play(recorder, gauge, paper, 2, ATHLETES) == first
    recorder.sees("The cut needs the laptop")
    recorder.page.context.set_offline(False)
    recorder.page.evaluate("dispatchEvent(new Event('online'))")
    says(recorder.page, "All sent.")
    going_on = paper.ranking()[:GO_ON]
    assert paper.marks(going_on[-1]) != paper.marks(paper.ranking()[GO_ON])
    decide(referee, live_server, "cut")

    now = timezone.now()
    actions.shorten(
        event_id=event.pk, last_round=ROUNDS, by="Referee", recorder=DESK, now=now, reason="the buses leave"
    )

    recorder.page.wait_for_selector(".pit-up")
    assert sorted(play(recorder, gauge, paper, 3, GO_ON)) == sorted(going_on)
    for phone in (recorder, gauge):
        says(phone.page, "All sent.")
    decide(referee, live_server, "close")

    assert state_of(event).stage.is_over
    lines = result_sheet(known(event, timezone.now())).lines
    ranked = paper.ranking()
    assert [line.bib for line in lines][: len(ranked)] == ranked
    assert {line.bib: line.series for line in lines} == {bib: paper.written(bib) for bib in paper.lines}
