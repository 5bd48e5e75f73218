"""What happens on the day, on the screens of officials' phones: the entries that their taps leave behind."""

import re
import time

import pytest

from tests.browser import pit_state
from tests.browser.officials import CALM, GHOST_MS, Phone
from tests.browser.phones import come_in, says
from tests.browser.pit_state import EVENT, event, open_turn, person, row_id, state, trial
from tests.browser.stub import KEY

pytestmark = [pytest.mark.browser, pytest.mark.slow]

SOON_MS = 6000  # Longer than a phone waits before it asks how things stand.


def at_pit(chromium, address, stub, role, shown=None, size=(360, 740), **more):
    stub.roles = (role,)
    stub.now_ms = int(time.time() * 1000)
    stub.shown = state(**(shown or {}), **more)
    context = chromium.new_context(viewport={"width": size[0], "height": size[1]}, has_touch=True)
    page = come_in(context, address)
    page.wait_for_function(
        "() => document.querySelector('#screen :is(.pit-up, .phone-cut, .pit-tools, .show, .pit-due)')"
    )
    return Phone(page, stub)


@pytest.fixture
def phone_of(chromium, address, stub):
    """Opens a phone in a role over a given state; an error in its scripts fails the test."""
    phones, wrong = [], []

    def open_one(role, **more):
        phone = at_pit(chromium, address, stub, role, **more)
        phone.page.context.on("weberror", lambda error: wrong.append(str(error.error)))
        phones.append(phone)
        return phone

    yield open_one
    for phone in phones:
        phone.page.context.close()
    assert wrong == []


@pytest.fixture
def recorder(phone_of):
    return phone_of("recorder")


def marked(entry, round, mark, **more):
    return ("jumped", {"entry": entry, "round": round, "result": "mark", "mark": mark, "board_cm": 100, **more}, "", [])


def wind(entry, round, tenths):
    return ("wind_read", {"entry": entry, "round": round, "tenths": tenths}, "", [])


# The first time


def test_a_first_time_recorder_has_a_trial_within_fifteen_taps(chromium, address, stub):
    stub.now_ms = int(time.time() * 1000)
    stub.shown = state()
    context = chromium.new_context(viewport={"width": 360, "height": 740}, has_touch=True)
    page = context.new_page()
    page.goto(f"{address}/pit/phone/#k={KEY}")
    page.fill("#official", "R. Corder")
    phone = Phone(page, stub)
    phone.tap("button.main")
    page.wait_for_selector(".pit-up")
    phone.white("543", "+14").confirm()
    assert phone.sent(2) == [wind("31", 2, 14), marked("31", 2, 543)]
    assert phone.taps == 11
    says(page, "All sent.")
    context.close()


def test_one_question_at_a_time_and_nothing_is_sent_before_confirm(recorder):
    recorder.tap("[data-key=w]").keys("543")
    assert (recorder.step, recorder.page.inner_text(".pit-typed")) == ("mark", "5.43")
    recorder.ok()
    assert recorder.step == "wind"
    recorder.keys("14").ok()
    assert recorder.step == "wind"
    recorder.sees("Press + or − as well").keys("-").ok()
    assert recorder.step == "ask"
    recorder.sees("while the last readings were about").press("5.43 −1.4 is right: write it")
    assert recorder.page.inner_text(".pit-figures") == "5.43"
    assert recorder.stub.entries == {}
    recorder.confirm()
    assert recorder.sent(2) == [wind("31", 2, -14), marked("31", 2, 543)]
    assert recorder.bib == "17"


def test_figures_are_as_wide_as_the_screen(recorder):
    recorder.white("543", CALM)
    size = recorder.page.locator(".pit-figures").evaluate("part => parseFloat(getComputedStyle(part).fontSize)")
    assert size >= 96
    assert recorder.page.evaluate("document.documentElement.scrollWidth") == 360


# Found and measured in one go: the screen may be drawn anew between two questions, and what is gone has no size.
SIZES = """() => [...document.querySelectorAll("#screen :is(a, button, input)")]
  .filter((part) => part.checkVisibility({ visibilityProperty: true }) && part.getClientRects().length)
  .map((part) => [part.innerText, part.getBoundingClientRect()])
  .map(([text, box]) => [text, box.width, box.height])"""


@pytest.mark.parametrize("size", [(360, 740), (740, 360), (1366, 800)])
@pytest.mark.parametrize("role", ["recorder", "gauge", "referee", "display"])
def test_everything_that_is_pressed_is_large_enough_and_on_the_screen(phone_of, role, size):
    phone = phone_of(role, size=size)
    sizes = phone.page.evaluate(SIZES)
    assert sizes
    assert [one for one in sizes if min(one[1:]) < 48] == []
    assert phone.page.evaluate("document.documentElement.scrollWidth") == size[0]


# Taps on one button and, as soon as another is there, on that.
TWICE = """async ([first, second]) => {
  const click = () => new MouseEvent("click", { bubbles: true, detail: 1 });
  const tap = (where) => document.querySelector(where).dispatchEvent(click());
  const before = document.querySelector(first);
  tap(first);
  while (document.contains(before) || !document.querySelector(second)) await new Promise(requestAnimationFrame);
  tap(second);
}"""


def test_a_second_tap_at_once_is_ignored(recorder):
    recorder.white("543").keys("+14")
    recorder.page.wait_for_timeout(GHOST_MS)
    recorder.page.evaluate(TWICE, ["[data-key=enter]", ".confirm"])
    recorder.page.wait_for_timeout(GHOST_MS)
    assert (recorder.step, recorder.stub.entries) == ("confirm", {})
    recorder.page.evaluate(TWICE, [".confirm", ".flag-red"])
    recorder.page.wait_for_timeout(GHOST_MS)
    assert (recorder.bib, recorder.step) == ("17", "flag")


def test_by_keyboard_alone(recorder):
    for key in ("w", "5", "4", "3", "Enter", "+", "1", "4", "Enter"):
        recorder.page.keyboard.press(key)
    recorder.page.wait_for_timeout(GHOST_MS)
    assert recorder.step == "confirm"
    recorder.page.keyboard.press("Enter")
    assert recorder.sent(2) == [wind("31", 2, 14), marked("31", 2, 543)]


def test_what_was_typed_survives_a_reload(recorder):
    recorder.tap("[data-key=w]").keys("54")
    recorder.page.reload()
    recorder.page.wait_for_selector(".pit-typed")
    assert (recorder.bib, recorder.page.inner_text(".pit-typed")) == ("31", "0.54")


def test_not_saved_keeps_the_figure_and_says_so_large(recorder):
    recorder.white("543", CALM)
    recorder.page.evaluate(
        "async () => { const { outbox } = await (await import('/static/pit/phone/app.js')).app;"
        " outbox.save = () => Promise.reject(new Error('full')); }"
    )
    recorder.confirm().sees("NOT SAVED: write it on paper")
    assert recorder.page.inner_text(".pit-figures") == "5.43"
    assert recorder.page.inner_text("#state") == "Not saved: write it on paper."
    assert recorder.stub.entries == {}


def test_offline_the_order_given_is_shown_and_places_are_as_the_server_said(recorder):
    recorder.page.wait_for_function("() => navigator.serviceWorker.controller")
    recorder.page.context.set_offline(True)
    for mark in ("521", "532"):
        recorder.white(mark, CALM).confirm()
        recorder.page.wait_for_timeout(GHOST_MS)
    assert recorder.bib == "22"
    assert (
        recorder.page.locator(".pit-last li").first.inner_text().split()
        == "17 5.32 0.0 ✓ on this phone Put right".split()
    )
    recorder.press("Places").sees("Later trials are not in it")
    assert re.findall(r"\d\.\d\d", recorder.page.inner_text(".phone-list")) == ["5.12"]
    recorder.home().press("Everybody").sees("5.32")


# Questions, never a block

ASK_WINDS = pit_state.STATE["ask_winds"]
BAND = {"from": 560, "to": 9999, "kind": "above", "says": "{mark} is far above. Is that right?", "guess": None}
METRE = {"from": 590, "to": 640, "kind": "metre", "says": "{guess} or {mark}?", "guess": {"add": -100, "swap": None}}
SWAP = {"from": 300, "to": 399, "kind": "below", "says": "{mark} is far below. Is that right?",
        "guess": {"add": 100, "swap": [480, 560]}}  # fmt: skip


@pytest.mark.parametrize(
    ("band", "typed", "sentence", "guess"),
    [
        (BAND, "612", "6.12 is far above. Is that right?", None),
        (METRE, "620", "5.20 or 6.20?", "5.20"),
        (SWAP, "354", "3.54 is far below. Is that right?", "5.34"),
        (SWAP, "398", "3.98 is far below. Is that right?", "4.98"),
    ],
)
def test_a_mark_outside_the_usual_asks_and_offers_what_was_meant(phone_of, band, typed, sentence, guess):
    asks = {"31": {"round": 2, "board_cm": 100, "marks": [band]}}
    phone = phone_of("recorder", asks=asks)
    phone.white(typed, CALM).sees(sentence)
    shown = f"{typed[0]}.{typed[1:]}"
    if guess is None:
        assert phone.page.locator("button:has-text('No:')").count() == 0
        phone.press(f"{shown} 0.0 is right: write it")
    else:
        phone.press(f"No: {guess}")
    assert phone.page.inner_text(".pit-figures") == (guess or shown)
    phone.confirm()
    assert phone.sent(2)[1] == marked("31", 2, int((guess or shown).replace(".", "")))


@pytest.mark.parametrize(
    ("shown", "typed", "signs", "sentence"),
    [
        ({}, "480", CALM, "4.80 again, the same mark as the trial before"),
        ({}, "543", "-14", "−1.4, while the last readings were about"),
        ({"ask_winds": ASK_WINDS | {"last": [8, 8]}}, "543", "+8", "+0.8 for the third time in a row"),
        ({"events": [event(suspended="lightning")]}, "543", CALM, "nobody jumps. Did bib 31 jump before that?"),
        ({"events": [event(ready=False)]}, "543", CALM, "The sand has not been signed off"),
    ],
)  # fmt: skip
def test_slips_that_show_without_the_server(phone_of, shown, typed, signs, sentence):
    phone_of("recorder", shown=shown).white(typed, signs).sees(sentence, ".phone-ask")


def test_the_same_bib_twice_within_forty_seconds_asks(recorder):
    recorder.white("543", CALM).confirm()
    recorder.sees("turn 2 of 5").press("Another bib").tap(".phone-row:has-text('Ashwell School · Year 9')")
    recorder.white("521", CALM).sees("Bib 31 again within 40 seconds", ".phone-ask")


@pytest.mark.parametrize("role", ["second", "recorder"])
def test_a_phone_that_comes_in_anew_shows_what_stands_and_not_what_it_once_wrote(recorder, stub, role):
    recorder.white("543", CALM).confirm()
    recorder.sent(2)
    says(recorder.page, "All sent.")
    recorder.sees("5.43")
    if role == "second":
        recorder.white("521")  # begun, and not to be seen in another role
    stub.roles = (role,)
    recorder.tap("#more").press("Scan the code again")
    recorder.page.fill("#code", KEY)
    recorder.press("Come in")
    recorder.page.wait_for_selector(".pit-up")
    assert (recorder.bib, recorder.step) == ("31", "flag")
    assert "5.43" not in recorder.text


# Situations of the day, by their numbers


def test_03_another_board_from_the_next_trial_on(recorder):
    recorder.press("Not here").press("Another board").press("2.00 m").sees("board 2.00 m")
    recorder.white("150", CALM).sees("1.50 from the board at 2.00 m would land outside the sand")
    recorder.press("1.50").confirm()
    rows = recorder.sent(3)
    assert rows[0] == ("board_set", {"entry": "31", "board_cm": 200}, "", [])
    assert rows[2][1]["board_cm"] == 200


def test_05_the_gauge_dies_and_no_wind_is_asked_for(phone_of):
    gauge = phone_of("gauge")
    gauge.press("Gauge dead").press("Gauge dead").press("No wind from here on")
    assert gauge.sent(1) == [("no_gauge", {}, "", [])]
    recorder = phone_of("recorder", events=[event(no_gauge=True)])
    recorder.tap("[data-key=w]").keys("543").ok()
    assert recorder.step == "confirm"


def test_05_a_wind_that_is_owed_is_filled_in_later(phone_of):
    owed = [{"turn": "22-1-0", "event": EVENT, "entry": "22", "bib": "22", "round": 1, "shown": "4.96"}]
    referee = phone_of("referee", owed=owed)
    referee.press("Round 1").keys("-3").ok()
    referee.confirm()
    assert referee.sent(1) == [wind("22", 1, -3)]


def test_06_jumped_under_anothers_bib(phone_of):
    shown = state()
    shown["series"]["13"] = []
    recorder = phone_of("recorder", series=shown["series"])
    recorder.tap(".pit-last button:has-text('44')").press("Somebody else jumped").tap(".phone-row:has-text('Dina')")
    recorder.press("wrong bib")
    rows = [row_id("44", 1, 1), row_id("44", 1, 2)]
    assert recorder.sent(3) == [
        ("voided", {"entry": "44", "round": 1, "moved_to": "13"}, "wrong bib", rows),
        ("jumped", {"entry": "13", "round": 1, "result": "mark", "mark": 480, "board_cm": 100}, "wrong bib", rows[:1]),
        ("wind_read", {"entry": "13", "round": 1, "tenths": 10}, "wrong bib", rows[1:]),
    ]
    assert recorder.bib == "44"


def test_06_a_failed_trial_moves_with_its_reason_to_the_turn_that_is_open(phone_of):
    series = state()["series"] | {"13": []}
    series["44"] = [trial("44", 1, "x", reason="Somersault", mark=480, result="x", hidden=True)]
    queue = [open_turn("13", 1, 1, turn="13-1-1", replacement=1), *state()["queue"]]
    recorder = phone_of("recorder", series=series, queue=queue)
    recorder.tap(".pit-last button:has-text('44')").press("Somebody else jumped").tap(".phone-row:has-text('Dina')")
    recorder.press("wrong bib")
    values = {"entry": "13", "round": 1, "replacement": 1, "result": "x", "mark": 480, "reason": "somersault"}
    assert recorder.sent(2)[1] == ("jumped", values | {"board_cm": 100}, "wrong bib", [row_id("44", 1, 1)])


@pytest.mark.parametrize("of_it", ["a protest", "two records"])
def test_06_what_is_still_to_be_decided_goes_along_on_the_page_of_the_server(phone_of, of_it):
    series = state()["series"] | {"13": []}
    series["44"] = [trial("44", 1, "4.80", 480, disputed=of_it == "two records")]
    lodged = {"protest": "44-1-0", "event": EVENT, "entry": "44", "turn": "44-1-0", "bib": "44", "upheld": None}
    protests = [lodged | {"by": "", "reason": "", "at": 0, "decision": ""}] if of_it == "a protest" else []
    recorder = phone_of("recorder", series=series, protests=protests)
    recorder.tap(".pit-last button:has-text('44')").press("Somebody else jumped").tap(".phone-row:has-text('Dina')")
    recorder.sees("it is moved on the server page")
    assert recorder.page.get_attribute("a:has-text('The server page')", "href") == "/pit/7/trial/44/1/0/"


def test_the_marks_that_a_board_allows_are_in_the_unit_of_the_meet(phone_of):
    boards = [{"cm": 100, "shown": "3-03", "low": 157, "high": 1417}]
    recorder = phone_of("recorder", unit="quarter inch", events=[event(boards=boards)])
    recorder.press("Not here").press("Another board").sees("3-03.25–29-06.25")


def test_10_white_then_red_keeps_the_distance(recorder):
    recorder.tap(".pit-last button:has-text('44')").press("It was written wrongly").tap("[data-key=x]")
    recorder.press("Broke the line").press("the judge reconsidered").sees("instead of 4.80")
    recorder.confirm()
    values = {"entry": "44", "round": 1, "result": "x", "mark": 480, "reason": "line", "board_cm": 100}
    assert recorder.sent(1) == [("jumped", values, "the judge reconsidered", [row_id("44", 1, 1)])]
    recorder.tap(".pit-last button:has-text('44')").press("Protest").press("against the red flag")
    assert recorder.sent(2)[1] == (
        "protest_lodged", {"protest": "44-1-0", "entry": "44", "round": 1}, "against the red flag", [],
    )  # fmt: skip


def test_11_red_then_white_and_raked_gives_a_replacement_trial(recorder):
    recorder.tap("[data-key=x]").press("Broke the line").confirm()
    recorder.tap(".phone-always button:has-text('Replacement')").press("Ashwell School · Year 9").press("raked before")
    recorder.sees("Replacement trial: before any other")
    assert recorder.bib == "31"
    recorder.white("543", CALM).sees("Bib 31 again").press("is right: write it").confirm()
    rows = recorder.sent(4)
    assert rows[0] == ("jumped", {"entry": "31", "round": 2, "result": "x", "reason": "line", "board_cm": 100}, "", [])
    assert rows[1] == ("replaced", {"entry": "31", "round": 2}, "raked before it was measured", [])
    assert rows[3] == marked("31", 2, 543, replacement=1)


def test_12_away_at_another_event_with_leave_and_back(recorder):
    recorder.press("Not here").write("Where", "pit 2").write("Back at", "14:40").press("Goes away")
    recorder.sees("pit 2, 14:40", ".pit-soon")
    assert recorder.bib == "17"
    recorder.press("Another bib").tap(".phone-row:has-text('Ashwell School · Year 9')")
    recorder.sees("Chosen by hand").press("Not here").press("Is back")
    assert recorder.sent(2) == [
        ("left", {"entry": "31", "where": "pit 2", "back_at": "14:40"}, "", []),
        ("returned", {"entry": "31"}, "", []),
    ]


GIRLS = [
    {"entry": key, "bib": key, "name": girl[1], "best": "5.12", "says": ""} for key, girl in pit_state.GIRLS.items()
]


def test_15_the_cut_as_the_server_proposes_it_is_read_out_and_decided_there(phone_of, stub):
    out = {**GIRLS[4], "says": "tenth: 5.02, second best 4.90"}
    cut = {
        "event": EVENT, "says": "After round 3: 9 go on, two equal in eighth.", "order": GIRLS[:4], "out": [out],
        "first_out": "Bib 44 is the first one out, 2 cm behind the eighth.", "link": "/pit/7/decide/3/",
    }  # fmt: skip
    recorder = phone_of("recorder", queue=[], cut=cut)
    recorder.sees("After round 3: 9 go on").sees("first one out").sees("The referee decides.", ".phone-cut")
    bibs = recorder.page.locator(".pit-order .bib").all_inner_texts()
    assert bibs == ["31", "17", "22", "13"]
    assert recorder.page.locator("#screen a").count() == 0
    referee = phone_of("referee", queue=[], cut=cut)
    assert referee.page.locator(".phone-cut a").get_attribute("href") == "/pit/7/decide/3/"
    stub.down = True
    referee.sees("This needs the server", ".phone-cut").sees("This needs the server", ".phone-part")
    assert referee.page.locator("#screen a").count() == 0


DUE = [
    {"event": EVENT, "kind": "ready", "says": "The sand has not been signed off.", "link": "/pit/7/ready/"},
    {"event": EVENT, "kind": "trials", "says": "The number of trials is to be confirmed.", "link": "/pit/7/decide/3/"},
    {"event": EVENT, "kind": "measure", "says": "Measure the 1 m board.", "link": "", "board_cm": 100},
]


def test_what_is_due_leads_whoever_may_do_it_there(phone_of):
    unready = {"due": DUE, "events": [event(ready=False)]}
    recorder = phone_of("recorder", **unready)
    recorder.sees("The number of trials is to be confirmed.").sees("The referee decides.")
    assert recorder.page.locator("#screen a").count() == 0
    recorder.press("Look").sees("what does the tape say?")
    referee = phone_of("referee", **unready)
    assert referee.text.count("signs off") == 1
    assert referee.page.locator(".pit-line a").all_inner_texts() == ["Decide"]


def test_however_much_there_is_to_know_the_flags_stay_on_the_screen(phone_of):
    """The gravest is read first; the others stand below."""
    says = "Phone 2 (R. Corder) writes this record too. Agree which of you goes on."
    open_protest = {"protest": "31-1-0", "event": EVENT, "entry": "31", "turn": "31-1-0", "bib": "31", "by": "",
                    "reason": "against the red flag", "at": 0, "upheld": None, "decision": ""}  # fmt: skip
    much = {"events": [event(ready=False)], "due": DUE, "beside": [says], "protests": [open_protest]}
    recorder = phone_of("recorder", size=(360, 640), **much)
    recorder.sees(says).sees("+4 below").sees("the referee signs off the sand first").sees("The referee decides.")
    flags = recorder.page.locator(".pit-flags").bounding_box()
    top, now = (recorder.page.locator(where).bounding_box()["y"] for where in ("#screen .alarm", ".pit-now"))
    assert flags["y"] + flags["height"] <= 640
    assert top < now


def test_a_protest_stays_to_be_seen_and_is_not_lodged_twice_without_notice(recorder):
    for _again in range(2):
        recorder.tap(".phone-always button:has-text('Protest')").press("Dina Elm").sees("Cone down, no rake")
        recorder.press("against the red flag")
        recorder.sees("Protest, bib 13: against the red flag. The referee decides.")
    recorder.tap(".phone-always button:has-text('Protest')").press("Dina Elm")
    recorder.sees("Protest, bib 13: against the red flag. The referee decides.")
    assert recorder.home().press("Protest").press("Eva Frith").text.count("The referee decides.") == 0


def test_trials_to_choose_from_stand_with_the_newest_first(phone_of):
    last = [pit_state.STATE["last"][0]]
    recorder = phone_of("recorder", last=last)
    recorder.tap(".phone-always button:has-text('Protest')")
    bibs = recorder.page.locator(".pit-people .bib").all_inner_texts()
    assert bibs == ["44", "13", "22", "17", "31"]


def test_a_red_flag_that_becomes_a_mark_asks_for_the_wind(recorder):
    recorder.tap("[data-key=x]").press("Broke the line").confirm().sent(1)
    recorder.tap(".pit-last button:has-text('31')").press("It was written wrongly")
    recorder.white("543", "+14").press("judge").confirm()
    rows = recorder.sent(3)
    assert rows[1] == wind("31", 2, 14)
    assert rows[2][1] == {"entry": "31", "round": 2, "result": "mark", "mark": 543, "board_cm": 100}


def test_what_is_not_signed_off_is_asked_once_and_stays_on_the_screen(phone_of):
    asks = pit_state.STATE["ask_order"] | {"says_ready": "Nobody may jump yet."}
    recorder = phone_of("recorder", events=[event(ready=False)], ask_order=asks)
    recorder.white("543", CALM).sees("Nobody may jump yet.").press("is right: write it").confirm()
    recorder.white("512", CALM).confirm()
    recorder.sees("the referee signs off the sand first")
    assert [row[1].get("mark") for row in recorder.sent(4)] == [None, 543, None, 512]


def test_where_there_is_no_gauge_one_press_says_so_for_the_day(phone_of):
    where = {"id": 7, "name": "Long jump girls", "pit": "Pit 1", "gauge": False}
    recorder = phone_of("recorder", session=where)
    recorder.tap("[data-key=w]").keys("543").ok().sees("5.43 · What does the gauge say?")
    recorder.press("This pit has no gauge").confirm()
    assert recorder.sent(2) == [("no_gauge", {}, "no gauge at this pit", []), marked("31", 2, 543)]
    recorder.tap("[data-key=w]").keys("512").ok().confirm()
    assert recorder.sent(3)[2] == marked("17", 2, 512)


def test_the_newest_trial_stands_on_the_first_screen_below_the_flags(recorder):
    newest, passes = (
        recorder.page.locator(where).bounding_box() for where in (".phone-newest button", "[data-key='r']")
    )
    assert newest["y"] + newest["height"] <= 740
    assert passes["y"] + passes["height"] <= newest["y"]
    recorder.tap(".phone-newest button").sees("It was written wrongly").sees("4.80")


def test_18_measuring_under_protest_is_the_first_of_the_answers_to_a_red_flag(recorder):
    recorder.tap("[data-key=x]")
    assert recorder.page.locator(".pit-reasons button").first.inner_text() == "Measure it under protest: no rake"


def desk_looks_at_everything(stub):
    def looked_at(said):
        results = [{"id": entry["id"], "status": "needs_review", "says": "so"} for entry in said["entries"]]
        return 200, {**stub.life(said["epoch"]), "results": results}, "application/json"

    stub.after = looked_at


def test_what_the_desk_looks_at_does_not_open_its_turn_again(recorder, stub):
    desk_looks_at_everything(stub)
    recorder.white("543", CALM).confirm()
    recorder.sent(2)
    recorder.sees("the desk looks at it", ".phone-newest")
    assert recorder.bib == "17"
    epoch = next(iter(stub.entries.values()))["epoch"]
    stub.shown |= {"included": {epoch: 2}, "in_review": list(stub.entries)}
    stub.version = "2"
    recorder.page.wait_for_timeout(SOON_MS)
    assert (recorder.bib, recorder.page.inner_text(".phone-newest .bib")) == ("17", "31")
    recorder.sees("the desk looks at it", ".phone-newest")
    stub.shown |= {"in_review": []}
    stub.version = "3"
    recorder.page.wait_for_function("() => document.querySelector('.pit-bib').textContent === '31'")
    assert "the desk looks" not in recorder.text


def test_a_doubt_about_another_board_is_known_without_the_server(phone_of, stub):
    says = "Board 2 m, known reach 5.20 m: lands only 0.20 m before the end."
    people = {**pit_state.STATE["people"], "31": person(*pit_state.GIRLS["31"], reaches={"200": says})}
    recorder = phone_of("recorder", people=people)
    stub.down = True
    recorder.press("Not here").press("Another board").press("2.00 m").sees(says, ".pit-up .warning")


def test_a_wind_that_is_owed_is_one_tap_from_its_reading(phone_of):
    owed = [{"turn": "22-1-0", "event": EVENT, "entry": "22", "bib": "22", "round": 1, "shown": "4.96"}]
    gauge = phone_of("gauge", owed=owed, series={})
    gauge.sees("Winds owed").tap(".phone-owed button").sees("This reading belongs to this trial")
    gauge.keys("3-").ok().confirm()
    assert gauge.sent(1) == [wind("22", 1, -3)]


def test_a_card_and_a_call_in_are_written_by_the_referee_without_the_server(phone_of, stub):
    referee = phone_of("referee")
    stub.down = True
    referee.press("cards, call in").press("Bea Coster").press("Yellow card").press("the referee saw it")
    referee.press("cards, call in").press("Bea Coster").press("Calls in").write("Another reason", "a slip at the cut")
    referee.press("Take this reason")
    stub.down = False
    assert referee.sent(2) == [
        ("card", {"entry": "17", "colour": "yellow"}, "the referee saw it", []),
        ("called_in", {"entry": "17", "round": 2}, "a slip at the cut", []),
    ]


def test_before_it_has_come_in_a_phone_says_nothing_of_sending(chromium, address):
    context = chromium.new_context(viewport={"width": 360, "height": 740})
    page = context.new_page()
    page.goto(f"{address}/pit/phone/")
    page.wait_for_selector("#official")
    assert page.inner_text("#state") == ""
    context.close()


def test_17_somebody_crosses_and_the_time_starts_again(recorder):
    recorder.tap(".pit-clock")
    recorder.page.wait_for_function("() => /^5\\d s: stop$/.test(document.querySelector('.pit-clock').textContent)")
    recorder.press("From the start")
    for _ in range(200):
        recorder.page.wait_for_timeout(0 if len(recorder.stub.clocks) >= 2 else 50)
    turns = [clock["turn"] for clock in recorder.stub.clocks]
    assert turns == ["31-2-0", "31-2-0"]
    assert recorder.stub.clocks[1]["started"] > recorder.stub.clocks[0]["started"]


def test_17_the_yellow_flag_is_said_at_fifteen_seconds(phone_of):
    recorder = phone_of("recorder", queue=[open_turn("31", 2, 1, seconds=16)])
    recorder.tap(".pit-clock").sees("15 s: yellow flag", ".pit-clock.warned")


def test_18_red_and_a_protest_at_once_is_measured_with_its_wind(recorder):
    recorder.tap("[data-key=x]").press("Measure it under protest").keys("555").ok()
    recorder.keys("+3").ok()
    assert recorder.page.inner_text(".pit-figures") == "x/5.55"
    recorder.confirm()
    under = {"entry": "31", "round": 2, "result": "x", "mark": 555, "board_cm": 100, "under_protest": True}
    assert recorder.sent(3) == [
        wind("31", 2, 3),
        ("protest_lodged", {"protest": "31-2-0", "entry": "31", "round": 2}, "immediate oral protest", []),
        ("jumped", under, "", []),
    ]


def test_21_a_child_who_is_not_on_the_list_jumps_and_the_desk_looks_later(recorder, stub):
    recorder.press("Everybody").press("Not on the list")
    recorder.write("Name", "Fay Gorse").write("School", "Dell School").write("Bib", "77").write("Year", "8")
    recorder.press("Add to Girls long jump").sees("Fay Gorse").press("Record a trial")
    recorder.white("444", CALM).confirm()
    rows = recorder.sent(3)
    added = next(entry for entry in stub.entries.values() if entry["kind"] == "added")
    key = added["values"]["entry"]
    assert re.fullmatch(r"new-[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}", key)
    assert added["named"] == {"name": "Fay Gorse", "school": "Dell School", "bib": "77", "year": "8"}
    assert rows[2][1] == {"entry": key, "round": 2, "result": "mark", "mark": 444}


def test_24_two_age_groups_share_the_pit_in_one_list(phone_of):
    older = event(id=4, name="Girls under 16 long jump")
    people = pit_state.STATE["people"] | {"50": person("50", "Gia Hurst", "Elm School", "Year 10", event=4)}
    queue = [open_turn("50", 2, 1, event=4), open_turn("31", 2, 1)]
    recorder = phone_of("recorder", events=[event(), older], people=people, queue=queue)
    recorder.sees("Girls under 16 long jump · Round 2 of 3").white("543", CALM).confirm()
    recorder.sees("Girls long jump · Round 2 of 3")
    assert recorder.sent(2)[1] == marked("50", 2, 543)
    assert {entry["event"] for entry in recorder.stub.entries.values()} == {4}


def test_26_a_second_device_opens_the_session_and_knows_what_is_missing(phone_of):
    missing = [{"phone": 1, "official": "R. Corder", "says": "Phone 1 holds 3 entries that nobody has brought."}]
    recorder = phone_of("recorder", missing=missing)
    recorder.sees("Phone 1 holds 3 entries").press("Everybody").sees("5.12")
    recorder.home().press("Another bib").tap(".phone-row:has-text('Eva Frith')").sees("Chosen by hand")
    recorder.white("470", CALM).confirm()
    assert recorder.sent(2)[1] == marked("44", 2, 470)


def test_26_two_phones_that_write_one_record_are_told_and_go_on(phone_of):
    says = "Phone 2 (R. Corder) writes this record too. Agree which of you goes on."
    recorder = phone_of("recorder", beside=[says])
    recorder.sees(says).white("543", CALM).confirm()
    assert recorder.sent(2)[1] == marked("31", 2, 543)


def test_27_recorders_differ_and_the_referee_picks_one_value(phone_of):
    values = [
        {"rows": [row_id("31", 1, 1)], "shown": "5.43", "by": "R. Corder", "recorder": "pit",
         "values": {"result": "mark", "mark": 543, "board_cm": 100}},
        {"rows": [row_id("31", 1, 3)], "shown": "5.34", "by": "S. Econd", "recorder": "second recorder",
         "values": {"result": "mark", "mark": 534, "board_cm": 100}},
    ]  # fmt: skip
    dispute = {"turn": "31-1-0", "event": EVENT, "entry": "31", "bib": "31", "what": "trial", "values": values}
    referee = phone_of("referee", disputes=[dispute])
    referee.press("5.43 / 5.34").sees("The lower one is not right by itself").press("5.34").press(
        "as the second record"
    )
    both = [row_id("31", 1, 1), row_id("31", 1, 3)]
    chosen = {"result": "mark", "mark": 534, "board_cm": 100, "entry": "31", "round": 1}
    assert referee.sent(1) == [("jumped", chosen, "as the second record says", both)]
    referee.sees("Nothing waits for the referee.")


def test_27_the_second_record_is_marked_and_the_check_names_what_differs(phone_of):
    check = {
        "event": EVENT, "round": 1, "agree": 4, "of": 5, "says": "4 of 5 agree.", "asks": [],
        "differences": [{"turn": "31-1-0", "event": EVENT, "entry": "31", "bib": "31", "what": "trial",
                         "own": "5.12", "other": "5.21"}],
    }  # fmt: skip
    second = phone_of("second", check=check)
    second.sees("SECOND RECORD").sees("4 of 5 agree.").press("Look").sees("here 5.12, in the other record 5.21")
    second.home().white("543", CALM).confirm()
    assert second.sent(2)[1] == marked("31", 2, 543)
    assert {entry["role"] for entry in second.stub.entries.values()} == {"second"}


def test_29_two_of_one_name_are_told_apart_by_bib_and_year_everywhere(recorder):
    recorder.press("Another bib")
    rows = recorder.page.locator(".phone-row:has-text('Amy Brown')").all_inner_texts()
    assert ["Year 9" in row for row in rows] == [True, False]
    recorder.home().white("543", CALM)
    assert recorder.page.inner_text(".pit-read-bib") == "31 Amy Brown"


def test_30_a_reading_with_two_decimals_is_rounded_by_the_server_and_lands_on_its_turn(phone_of):
    gauge = phone_of("gauge")
    gauge.press("Gauge shows two decimals").press("Start 5 s")
    gauge.page.locator(".phone-countdown").wait_for()
    # The recorder is quicker: somebody else is up by now.
    gauge.stub.shown = state(queue=gauge.stub.shown["queue"][1:])
    gauge.stub.version = "2"
    gauge.sees("Read the gauge now").keys("+203").ok()
    assert (gauge.bib, gauge.page.inner_text(".pit-figures")) == ("31", "+2.03")
    gauge.confirm()
    assert gauge.sent(1) == [("wind_read", {"entry": "31", "round": 2, "hundredths": 203}, "", [])]
    assert gauge.bib == "17"
    gauge.page.reload()
    gauge.page.wait_for_selector("button:has-text('Gauge shows one decimal')")


def test_30_the_windy_mark_and_its_wind_stand_in_the_series(phone_of):
    series = {"31": [trial("31", 1, "5.58", 558, "+1.4", 14), trial("31", 2, "5.61", 561, "+2.1", 21)]}
    recorder = phone_of("recorder", series=series, queue=[open_turn("31", 3, 1)])
    assert recorder.page.inner_text(".pit-series").split() == ["5.58", "+1.4", "5.61", "+2.1"]


# What else is at hand


def test_stop_takes_two_taps_and_only_the_referee_goes_on(phone_of):
    recorder = phone_of("recorder")
    recorder.tap(".phone-always .phone-stop").press("Stop now").sees("Nobody jumps")
    assert recorder.sent(1) == [("suspended", {"safety": True}, "for safety, from the pit", [])]
    referee = phone_of("referee", events=[event(suspended="lightning")])
    referee.press("Go on jumping")
    assert [row[0] for row in referee.sent(2)] == ["suspended", "resumed"]


def test_the_referee_signs_when_every_line_is_ticked(phone_of):
    referee = phone_of("referee", events=[event(ready=False)])
    referee.press("Sand, runway and board").press("Sign off")
    assert referee.stub.entries == {}
    for line in ("Sand dug", "Rakes away", "Runway dry", "Zero of the tape"):
        referee.press(line)
    referee.press("Sign off")
    assert referee.sent(1) == [("readiness_signed", {}, "", [])]


def test_a_board_is_measured_in_centimetres(recorder):
    recorder.press("Measure the board").press("1.00 m").keys("102").ok()
    assert recorder.sent(1) == [("board_checked", {"board_cm": 100, "measured_cm": 102}, "", [])]


def test_a_board_that_measures_otherwise_is_asked_about_before_it_is_stored(recorder):
    recorder.press("Measure the board").press("1.00 m").keys("105").ok()
    recorder.sees("Measured as 1.05 m instead of 1.00 m.")
    recorder.press("Measure again").keys("103").ok()
    assert recorder.stub.entries == {}
    recorder.press("It is so")
    assert recorder.sent(1) == [("board_checked", {"board_cm": 100, "measured_cm": 103}, "", [])]


def test_a_mark_longer_than_anybody_jumps_is_asked_about_and_going_back_leads_to_its_digits(recorder):
    recorder.tap("[data-key=w]").keys("69631").ok().keys(CALM)
    assert recorder.page.locator(".pit-step").get_attribute("data-step") == "ask"
    recorder.sees("69.63 cannot be: nobody has jumped over 9.50.")
    recorder.press("Back")
    assert recorder.page.inner_text(".pit-typed") == "69.63"
    recorder.press("Back").tap("[data-key=w]")
    assert recorder.page.inner_text(".pit-typed") == ""
    recorder.keys("543").ok()
    assert recorder.page.locator(".pit-step").get_attribute("data-step") != "ask"


def test_a_trial_that_the_referee_settled_is_put_right_after_a_word_of_caution(phone_of):
    series = pit_state.STATE["series"] | {"44": [trial("44", 1, "4.80", 480, "+1.0", 10, settled=True)]}
    caution = "The referee or the desk has settled this trial."
    recorder = phone_of("recorder", series=series)
    assert caution not in recorder.tap(".pit-last button:has-text('13')").sees("The wind was written wrongly").text
    recorder.home().tap(".pit-last button:has-text('44')").sees(caution).press("The wind was written wrongly")
    recorder.keys("-10").ok().press("wrong sign")
    assert recorder.sent(1)[0][0] == "wind_read"


def test_what_the_desk_has_settled_waits_no_more(recorder, stub):
    desk_looks_at_everything(stub)
    recorder.white("543", CALM).confirm()
    recorder.sent(2)
    epoch = next(iter(stub.entries.values()))["epoch"]
    stub.shown |= {"included": {epoch: 2}, "in_review": list(stub.entries)}
    stub.version = "2"
    recorder.sees("2 sent, and waiting for the desk to look.", "#banners")
    stub.shown |= {"in_review": []}
    stub.version = "3"
    recorder.page.wait_for_function("() => !document.querySelector('#banners').textContent.includes('waiting')")


def test_a_wrong_wind_is_put_right_with_a_reason(recorder):
    recorder.tap(".pit-last button:has-text('44')").press("The wind was written wrongly").keys("-10").ok()
    recorder.press("wrong sign")
    values = {"entry": "44", "round": 1, "tenths": -10}
    assert recorder.sent(1) == [("wind_read", values, "wrong sign", [row_id("44", 1, 2)])]


def test_what_is_being_written_stays_when_the_state_changes(recorder):
    recorder.press("Everybody").press("Not on the list").write("Name", "Fay Gorse")
    recorder.stub.version = "2"
    recorder.stub.shown = state(missing=[])
    recorder.page.wait_for_timeout(3500)
    assert recorder.page.locator("label:has-text('Name') input").input_value() == "Fay Gorse"


def test_the_display_shows_bib_clock_and_last_mark_large(phone_of):
    clock = {"turn": "31-2-0", "started": int(time.time() * 1000) - 46_000, "seconds": 60}
    display = phone_of("display", size=(1366, 800), clock=clock)
    display.page.wait_for_selector(".show-clock.warned")
    size = "part => parseFloat(getComputedStyle(part).fontSize)"
    assert display.page.locator(".show-bib").evaluate(size) >= 300
    assert display.page.inner_text(".show-last").split() == ["44", "4.80", "+1.0"]
    assert display.stub.entries == {}
