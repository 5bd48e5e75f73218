"""States of a session by the contract, for tests of the screens alone: five girls, one event, the second round."""

import copy

EVENT = 3
GIRLS = {
    "31": ("31", "Amy Brown", "Ashwell School", "Year 9"),
    "17": ("17", "Bea Coster", "Birchwood School", "Year 9"),
    "22": ("22", "Amy Brown", "Ashwell School", "Year 8"),
    "13": ("13", "Dina Elm", "Cedar School", "Year 9"),
    "44": ("44", "Eva Frith", "Birchwood School", "Year 8"),
}


def person(bib, name, school, year, **more):
    plain = {
        "event": EVENT, "bib": bib, "name": name, "school": school, "year": year, "tags": [], "board_cm": 100,
        "board": "1.00 m", "best": "5.20", "best_mark": 520, "away": "", "status": "", "finished": False,
        "pending": False, "checked_in": True, "say_it": "", "range": None, "reach": "", "flight": 1, "order": 1,
        "joined": 1, "named": "",
    }  # fmt: skip
    return plain | more


def open_turn(entry, round, number, **more):
    plain = {
        "turn": f"{entry}-{round}-0", "event": EVENT, "entry": entry, "round": round, "replacement": 0,
        "title": f"Round {round} of 3", "flight": "", "number": number, "of": 5, "away": "", "why": "", "seconds": 60,
        "consecutive": False,
    }  # fmt: skip
    return plain | more


def trial(entry, round, shown, mark=None, wind="", tenths=None, **more):
    plain = {
        "turn": f"{entry}-{round}-0", "round": round, "replacement": 0, "result": "mark" if mark else shown,
        "mark": mark, "shown": shown, "wind_tenths": tenths, "wind": wind, "rows": [row_id(entry, round, 1)],
        "wind_rows": [row_id(entry, round, 2)] if wind else [], "disputed": False, "wind_disputed": False,
        "held": False, "confirmed": False, "hidden": False, "void": False, "owed_wind": False, "best": False,
        "board_cm": 100, "reason": "", "settled": False,
    }  # fmt: skip
    return plain | more


def row_id(entry, round, n):
    return f"00000000-0000-4000-8000-{int(entry):06d}{round:03d}{n:03d}"


def event(**more):
    plain = {
        "id": EVENT, "name": "Girls long jump", "triple": False, "stage": "round", "says": "Round 2 of 3",
        "ready": True, "no_gauge": False, "over": False, "closed": False, "suspended": "", "seconds": 60,
        "warning": 15, "boards": [{"cm": 100, "shown": "1.00 m", "low": 100, "high": 900},
                                  {"cm": 200, "shown": "2.00 m", "low": 200, "high": 1000}],
        "needs_board": True, "waits": "", "round": 2, "rounds": 3, "list_version": 1, "any_order": False,
        "longest": 950, "board_off_cm": 2, "link": "/pit/7/decide/3/",
    }  # fmt: skip
    return plain | more


REASONS = [
    {"value": "line", "says": "Broke the line of the board"},
    {"value": "beside_board", "says": "Took off beside the board"},
    {"value": "somersault", "says": "Somersault"},
    {"value": "short_of_sand", "says": "Touched the ground before the sand"},
    {"value": "outside_nearer", "says": "Touched outside, nearer than the break"},
    {"value": "left_nearer", "says": "Left the sand nearer than the break"},
    {"value": "time", "says": "Time ran out"},
    {"value": "", "says": "No reason stated"},
]

STATE = {
    "unit": "cm",
    "digits": 3,
    "events": [event()],
    "people": {key: person(*girl, order=n) for n, (key, girl) in enumerate(GIRLS.items())},
    "queue": [open_turn(key, 2, n) for n, key in enumerate(GIRLS, 1)]
    + [open_turn(key, 3, n) for n, key in enumerate(GIRLS, 1)],
    "series": {
        "31": [trial("31", 1, "5.12", 512, "+1.1", 11)],
        "17": [trial("17", 1, "x")],
        "22": [trial("22", 1, "4.96", 496, "+0.8", 8)],
        "13": [trial("13", 1, "5.01", 501, "+1.3", 13)],
        "44": [trial("44", 1, "4.80", 480, "+1.0", 10)],
    },
    "last": [
        {"turn": f"{key}-1-0", "entry": key, "event": EVENT, "bib": key, "shown": shown, "wind": wind, "at": 0}
        for key, shown, wind in (("44", "4.80", "+1.0"), ("13", "5.01", "+1.3"), ("22", "4.96", "+0.8"))
    ],
    "asks": {},
    "ask_winds": {
        "last": [11, 8, 13, 10], "flip": 20, "stale": 3, "bands": [],
        "says_flip": "{wind}, while the last readings were about {usual}. Is the sign right?",
        "says_stale": "{wind} for the third time in a row. Has the gauge been started?", "says_no_jump": "",
    },
    "ask_same": {
        "within_s": 40,
        "says_bib": "Bib {bib} again within 40 seconds. Did somebody else jump?",
        "says_mark": "{mark} again, the same mark as the trial before. Was it typed twice?",
    },
    "ask_order": {
        "says_order": "Bib {up} is up. Did bib {bib} jump out of order?", "says_no_turn": "",
        "says_suspended": "The event is suspended and nobody jumps. Did bib {bib} jump before that?",
        "says_range": "{mark} from the board at {board} m would land outside the sand.",
        "says_longest": "{mark} cannot be: nobody has jumped over {longest}.",
        "says_ready": "The sand has not been signed off. Did bib {bib} jump all the same?",
    },
    "reasons": {str(EVENT): REASONS},
    "due": [], "alarms": [], "disputes": [], "owed": [], "protests": [], "trials": None, "cut": None,
    "places": [{"event": EVENT, "rows": [{"place": "1", "entry": "31", "bib": "31", "name": "Amy Brown",
                                         "best": "5.12", "status": "", "why": ""}]}],
    "check": None, "checks": [], "gauge_on": False, "second_on": False, "clock": None, "missing": [], "beside": [],
    "links": {"session": "/pit/7/", "everybody": "", "places": "/pit/7/places/", "ready": "", "stop": "",
              "winds": "", "decide": ""},
}  # fmt: skip


def state(**changes):
    return copy.deepcopy(STATE) | changes
