"""The messy sample file: what is said of every single line, and what is stored."""

from datetime import date

import pytest

from meets.entries.actions import import_entries
from meets.entries.outcome import Verdict
from meets.models import Entry
from tests.meets.entries.conftest import NOW

FILE = "entries_messy.csv"
ACCEPTED, ADVICE, ASKED = Verdict.ACCEPTED, Verdict.ADVICE, Verdict.ASKED
REFUSED, REPEAT, EMPTY = Verdict.REFUSED, Verdict.REPEAT, Verdict.EMPTY

OUTCOMES = [
    (2, ACCEPTED, []),
    (3, ACCEPTED, []),
    (4, REPEAT, [": the same athlete and event as line 3: not entered twice."]),
    (5, ACCEPTED, []),
    (
        6,
        REFUSED,
        [", column Date of birth: 15 years old on 31 August 2026, so not under 15. The age group is U17."],
    ),
    (7, ACCEPTED, []),
    (8, ACCEPTED, []),
    (
        9,
        REFUSED,
        [", column Date of birth: the date of birth is missing; without it the age group cannot be checked."],
    ),
    (10, REFUSED, [', column Date of birth: "31/02/2012" is no date; expected day/month/year.']),
    (11, REFUSED, [', column Date of birth: "12/05/2031" lies in the future.']),
    (
        12,
        ASKED,
        [
            ', column Best: "54.3" is no distance; expected two decimals, for example 5.40. Probably 5.43. '
            "Entered without a seed mark if you agree."
        ],
    ),
    (13, ADVICE, [", column Best: no best: entered without a seed mark."]),
    (14, REFUSED, [", column String: string A of this school in this event is taken by line 12."]),
    (
        15,
        ADVICE,
        [
            ", column Board: the 13 m board is far for a jump of 11.60 (by the seed mark alone; 1.50 m into the sand "
            "is wanted). Suitable: 9 m."
        ],
    ),
    (
        16,
        REFUSED,
        [
            ', column First name: the cell is a formula (=HYPERLINK("x")), whose result is never taken; '
            "type the value itself."
        ],
    ),
    (17, EMPTY, []),
    (18, REFUSED, [', column School code: "BRX" is no school code here; Brackenford School is BRA.']),
    (
        19,
        REFUSED,
        [
            ', column Event: this meet holds no "U13 Girls Triple Jump"; nearest are: U13 Girls Long Jump, '
            "U15 Girls Triple Jump, U17 Girls Triple Jump."
        ],
    ),
    (20, REFUSED, [", column Sex: U13 Girls Long Jump is for girls, and this line says boy."]),
    (21, REFUSED, [", column Surname: the name is missing."]),
    (22, ACCEPTED, []),
    (
        23,
        ADVICE,
        [
            ", column Board: the 9 m board is far for a jump of 10.11 (by the seed mark alone; 1.50 m into the sand "
            "is wanted). Suitable: 7 m."
        ],
    ),
    (
        24,
        REFUSED,
        [
            ", column Date of birth: 16 years old on 31 August 2026, so not under 15. The age group is U17.",
            ", column Event: an event too many: the limit is 2 for an athlete, who is entered in U17 Girls Long "
            "Jump, U17 Girls Triple Jump already.",
            ", column Event: two age groups of one discipline: the athlete is entered in U17 Girls Long Jump.",
        ],
    ),
    (25, ACCEPTED, []),
    (
        26,
        REFUSED,
        [
            ", column String: string C is over the limit: by a rule under Settings "
            "a school has 2 scoring entries in an event (A, B)."
        ],
    ),
    (27, ADVICE, [', column 11: "extra" stands under no heading and is not read.']),
    (
        28,
        ASKED,
        [
            ", column Date of birth: probably the same athlete as Idris Kentmere of line 27, whose date of birth is "
            "near. Entered as another athlete if you agree."
        ],
    ),
    (29, REFUSED, [": a total line is no entry."]),
]


@pytest.mark.parametrize(("number", "verdict", "says"), OUTCOMES, ids=[str(outcome[0]) for outcome in OUTCOMES])
def test_line(check, number, verdict, says):
    line = next(line for line in check(FILE).lines if line.number == number)
    assert (line.verdict, list(line.sentences(FILE))) == (
        verdict,
        [f"{FILE}, line {number}{rest}" for rest in says],
    )


def test_every_line_of_the_file_is_accounted_for(check):
    checked = check(FILE)
    assert [line.number for line in checked.lines] == list(range(2, 30))
    assert sum(checked.counts().values()) == 28
    assert (checked.notices, checked.new_schools) == ((), ())


def stored(meet):
    entries = Entry.objects.filter(event__meet=meet).select_related("athlete__school", "event").order_by("pk")
    return [
        (
            entry.athlete.school.code,
            str(entry.athlete),
            entry.athlete.born,
            entry.event.name,
            entry.string,
            entry.seed_mark,
            entry.board_cm,
        )
        for entry in entries
    ]


WITHOUT_CONSENT = [
    ("MAR", "Orla Elmsall", date(2014, 12, 7), "U13 Girls Long Jump", "A", 275, None),
    ("MAR", "Rhian Mbeki-Shaw", date(2014, 3, 9), "U13 Girls Long Jump", "B", 272, None),
    ("THO", "Zofia Łukasik", date(2012, 6, 15), "U15 Girls Triple Jump", "A", 912, 700),
    ("THO", "Vida Rusk", date(2011, 9, 1), "U15 Girls Long Jump", "A", 440, None),
    ("SAL", "Kofi Vosper", date(2012, 2, 29), "U15 Boys Long Jump", "A", 502, None),
    ("QUI", "Samir Wigmore", date(2010, 4, 4), "U17 Boys Long Jump", "B", None, None),
    ("QUI", "Luca Quenby", date(2009, 11, 13), "U17 Boys Triple Jump", "A", 1160, 1300),
    ("KES", "Petra Ilves", date(2010, 5, 5), "U17 Girls Long Jump", "A", 488, None),
    ("KES", "Petra Ilves", date(2010, 5, 5), "U17 Girls Triple Jump", "A", 1011, 900),
    ("KES", "Imogen Garside", date(2010, 6, 5), "U17 Girls Long Jump", "B", 412, None),
    ("WEX", "Idris Kentmere", date(2011, 11, 11), "U15 Boys Long Jump", "A", 520, None),
]
ONLY_WITH_CONSENT = [
    ("QUI", "Naveed Coldrey", date(2010, 10, 18), "U17 Boys Long Jump", "A", None, None),
    ("WEX", "Idris Kentmere", date(2011, 11, 12), "U15 Boys Triple Jump", "A", 1090, 900),
]


def test_without_consent_the_lines_asked_about_stay_out(meet, check):
    import_entries(meet=meet, checked=check(FILE), by="organiser", now=NOW)
    assert stored(meet) == WITHOUT_CONSENT


def test_with_consent_the_lines_asked_about_are_entered_too(meet, check):
    imported = import_entries(meet=meet, checked=check(FILE), accept_warnings=True, by="organiser", now=NOW)
    assert imported.lines == (2, 3, 5, 7, 8, 12, 13, 15, 22, 23, 25, 27, 28)
    assert sorted(stored(meet)) == sorted([*WITHOUT_CONSENT, *ONLY_WITH_CONSENT])
