"""The recorder's screen on a phone: taps, keys, ghost taps, and no scripts at all."""

import pytest
from django.conf import settings
from django.urls import reverse

from meets.running import actions
from meets.running.actions import DESK, PIT
from meets.running.reads import state_of
from scoring.state import Stage
from scoring.trials import FailReason, Result
from tests.factories import START, EntryFactory, EventFactory, OrganiserFactory, PitSessionFactory, SessionPartFactory

pytestmark = [pytest.mark.browser, pytest.mark.slow]

GHOST_MS = 400  # Longer than the page ignores a second tap.


@pytest.fixture
def event(transactional_db):
    event = EventFactory(discipline="LJ", boards_cm=[100], rule_changes={"cuts": "3:2"})
    for bib in ("31", "17", "22"):
        EntryFactory(event=event, bib=bib, seed_mark=None)
    actions.draw(event_id=event.pk, seed=7, by="Desk", recorder=DESK, now=START)
    actions.sign_readiness(event_id=event.pk, by="Referee", recorder=PIT, now=START)
    return event


@pytest.fixture
def session(event):
    session = PitSessionFactory(pit__meet=event.meet)
    SessionPartFactory(event=event, session=session)
    return session


@pytest.fixture
def open_screen(chromium, live_server, client, session):
    """Opens the screen in a phone of the crew; what goes wrong in it fails the test."""
    client.force_login(OrganiserFactory())
    client.post(reverse("pit:writer"), {"name": "Ms Amblewright"})
    cookie = client.cookies[settings.SESSION_COOKIE_NAME].value
    contexts, problems = [], []

    def open_one(**options):
        context = chromium.new_context(viewport={"width": 360, "height": 640}, has_touch=True, **options)
        contexts.append(context)
        context.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": cookie, "url": live_server.url}])
        page = context.new_page()
        page.set_default_timeout(10_000)
        page.on("pageerror", lambda problem: problems.append(str(problem)))
        page.goto(live_server.url + reverse("pit:session", args=[session.pk]))
        return page

    yield open_one
    for context in contexts:
        context.close()
    assert problems == []


def step(page):
    return page.locator("[data-steps]").get_attribute("data-at")


def type_digits(page, name, digits):
    for digit in digits:
        page.tap(f'[data-step={name}] [data-digit="{digit}"]')


def confirm(page):
    page.wait_for_timeout(GHOST_MS)
    with page.expect_navigation():
        page.tap("[data-confirm]")


def white(page, digits, sign, tenths):
    page.tap(".flag-white")
    type_digits(page, "mark", digits)
    page.tap("[data-step=mark] .pit-keys .main")
    page.tap(f'[data-step=wind] label:has([value="{sign}"])')
    type_digits(page, "wind", tenths)
    page.tap("[data-step=wind] .pit-keys .main")


def test_a_trial_by_taps_is_read_back_and_confirmed(open_screen, event):
    page = open_screen()
    first = state_of(event).callable[0].turn
    white(page, "543", "+", "14")
    assert (step(page), page.inner_text("[data-send] [data-figures]")) == ("confirm", "5.43")
    assert page.inner_text("[data-wind]") == "+1.4"
    assert not event.log.filter(kind="jumped").exists()
    confirm(page)
    trial = state_of(event).entry(first.entry).by_round[1]
    assert (trial.mark, trial.wind.tenths) == (543, 14)
    assert event.log.filter(kind="jumped").get().by == "Ms Amblewright"


def test_figures_fill_the_width_and_nothing_reaches_beyond_it(open_screen):
    page = open_screen()
    white(page, "543", "-", "3")
    size = page.locator("[data-figures][data-length]").evaluate("part => parseFloat(getComputedStyle(part).fontSize)")
    assert size >= 96
    assert page.evaluate("document.documentElement.scrollWidth") == 360


@pytest.mark.parametrize("at", ["flag", "why", "mark", "wind", "confirm"])
def test_everything_that_is_pressed_is_large_enough(open_screen, at):
    page = open_screen()
    if at == "why":
        page.tap(".flag-red")
    elif at in ("mark", "wind", "confirm"):
        page.tap(".flag-white")
        if at != "mark":
            type_digits(page, "mark", "543")
            page.tap("[data-step=mark] .pit-keys .main")
        if at == "confirm":
            page.tap("[data-step=wind] [value=later]")
    assert step(page) == at
    targets = "main :is(a, button, label, summary):visible, .pit-bar a:visible"
    sizes = page.locator(targets).evaluate_all(
        "parts => parts.map((part) => [part.innerText, part.getBoundingClientRect()])"
        ".filter(([, box]) => box.width > 2).map(([text, box]) => [text, box.width, box.height])"
    )
    assert len(sizes) > 5
    assert [one for one in sizes if min(one[1:]) < 48] == []


def test_a_ghost_tap_on_the_next_button_sends_nothing(open_screen, event):
    page = open_screen()
    page.tap(".flag-white")
    type_digits(page, "mark", "543")
    page.tap("[data-step=mark] .pit-keys .main")
    page.tap('[data-step=wind] label:has([value="+"])')
    type_digits(page, "wind", "14")
    # Both in one go: on a busy machine the second tap would come too late to be one.
    page.evaluate(
        "['[data-step=wind] .pit-keys .main', '[data-confirm]'].forEach((at) => document.querySelector(at).click())"
    )
    page.wait_for_timeout(200)
    assert step(page) == "confirm"
    assert not event.log.filter(kind="jumped").exists()


def test_the_wind_needs_its_sign_unless_it_is_none(open_screen):
    page = open_screen()
    page.tap(".flag-white")
    type_digits(page, "mark", "54")
    page.tap("[data-step=mark] .pit-keys .main")
    assert step(page) == "mark"
    type_digits(page, "mark", "3")
    page.tap("[data-step=mark] .pit-keys .main")
    type_digits(page, "wind", "14")
    page.tap("[data-step=wind] .pit-keys .main")
    assert step(page) == "wind"
    assert page.locator("[data-sign-first]").is_visible()
    page.tap("[data-step=wind] [data-rub]")
    page.tap("[data-step=wind] [data-rub]")
    type_digits(page, "wind", "00")
    page.tap("[data-step=wind] .pit-keys .main")
    assert (step(page), page.inner_text("[data-wind]")) == ("confirm", "0.0")


def test_another_mark_keeps_the_wind_and_another_flag_keeps_nothing(open_screen, event):
    page = open_screen()
    white(page, "534", "+", "14")
    page.tap("[data-go=mark]")
    assert page.inner_text("[data-step=mark] [data-typed]") == ""
    type_digits(page, "mark", "543")
    page.tap("[data-step=mark] .pit-keys .main")
    assert (step(page), page.inner_text("[data-send] [data-figures]"), page.inner_text("[data-wind]")) == (
        "confirm",
        "5.43",
        "+1.4",
    )
    page.tap("[data-go=flag]")
    page.tap(".flag-red")
    page.tap("[data-step=why] [value=line]")
    assert page.inner_text("[data-send] [data-figures]") == "x"
    assert page.inner_text("[data-said]") == "failed: broke the plane of the take-off line, also by running through"
    first = state_of(event).callable[0].turn
    confirm(page)
    trial = state_of(event).entry(first.entry).by_round[1]
    assert (trial.result, trial.mark, trial.wind, trial.reason) == (Result.FAIL, None, None, FailReason.LINE)


def test_measured_under_protest_after_going_back(open_screen, event):
    page = open_screen()
    first = state_of(event).callable[0].turn
    page.tap(".flag-white")
    type_digits(page, "mark", "5")
    page.tap("[data-step=mark] [data-back]")
    assert step(page) == "flag"
    page.tap(".flag-red")
    page.tap("[data-step=why] .protest")
    type_digits(page, "mark", "543")
    page.tap("[data-step=mark] .pit-keys .main")
    page.tap("[data-step=wind] [value=none]")
    assert page.inner_text("[data-send] [data-figures]") == "x/5.43"
    confirm(page)
    trial = state_of(event).entry(first.entry).by_round[1]
    assert (trial.result, trial.mark, trial.under_protest, trial.wind.tenths) == (Result.FAIL, 543, True, None)


def test_keys_alone(open_screen, event):
    page = open_screen()
    turns = [item.turn for item in state_of(event).callable[:3]]
    for keys in (["5", "4", "3", "Enter", "-", "3", "Enter"], ["x", "1"], ["-"]):
        for key in keys:
            page.keyboard.press(key)
        page.keyboard.press("Escape")
        assert step(page) != "confirm"
        page.keyboard.press({"3": "Enter", "1": "1", "-": "-"}[[key for key in keys if key != "Enter"][-1]])
        assert step(page) == "confirm"
        page.wait_for_timeout(GHOST_MS)
        with page.expect_navigation():
            page.keyboard.press("Enter")
    trials = [state_of(event).entry(turn.entry).by_round[1] for turn in turns]
    assert [(trial.result, trial.mark) for trial in trials] == [
        (Result.MARK, 543),
        (Result.FAIL, None),
        (Result.PASS, None),
    ]
    assert trials[0].wind.tenths == -3


def test_a_page_loaded_again_still_holds_what_was_typed(open_screen):
    page = open_screen()
    white(page, "543", "+", "14")
    page.reload()
    assert (step(page), page.inner_text("[data-send] [data-figures]"), page.inner_text("[data-wind]")) == (
        "confirm",
        "5.43",
        "+1.4",
    )


def test_a_trial_without_scripts(open_screen, event):
    page = open_screen(java_script_enabled=False)
    first = state_of(event).callable[0].turn
    page.click(".flag-white")
    page.fill("[name=digits]", "543")
    page.click("[data-step=mark] [data-plain]")
    page.check("[data-step=wind] [value='-']")
    page.fill("[name=tenths]", "3")
    page.click("[data-step=wind] [data-plain]")
    assert page.inner_text("[data-send] [data-figures]") == "5.43"
    page.click("[data-confirm]")
    trial = state_of(event).entry(first.entry).by_round[1]
    assert (trial.mark, trial.wind.tenths) == (543, -3)


def test_a_whole_event_from_the_first_trial_to_the_signed_sheet(open_screen, event):
    page = open_screen()
    mark = 431
    while state_of(event).stage is not Stage.CLOSED:
        if page.locator("[data-steps]").count():
            mark += 7
            white(page, str(mark), "+", str(mark % 10 + 1))
            confirm(page)
            continue
        with page.expect_navigation():
            page.tap(".pit-due .button.main")
        page.fill("main [name=referee]", "Mr Referton")
        with page.expect_navigation():
            page.tap("main button.main.big")
    state = state_of(event)
    assert sum(len(entry.by_round) for entry in state.entries) == 3 * 3 + 2 * 3
    assert event.log.get(kind="cut_taken").by == "Mr Referton"
    assert page.locator("text=This session is done").count() == 1
