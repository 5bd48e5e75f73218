"""An invented record book, steps of an award and the next meet, fitted to the day that was played."""

from datetime import date, datetime, timedelta
from itertools import cycle

from meets.demo.day import OFFICIALS
from meets.demo.people import SCHOOLS, TYPICAL_CM
from meets.models import Event, Meet, NextMeet, Record, RecordBook
from meets.records.actions import add_record, claims_from, store_book, store_next_meet, store_standards
from meets.records.standard_lines import GivenStandard
from meets.running.reads import states_of
from meets.running.states import EventNow
from scoring.wind import WindStatus, wind_status

HOLDERS = {
    Event.Category.GIRLS: {
        "Ottilie Marchbanks": "ASH",
        "Imke Vandersloot": "COR",
        "Noor Halvardsen": "ELV",
        "Wilhelmina Tarrowby": "GLA",
        "Sunniva Oakshade": "KIT",
    },
    Event.Category.BOYS: {
        "Rowan Thistlewood": "BRI",
        "Cassius Brearden": "DUN",
        "Leopold Winterbrook": "FAR",
        "Tancred Hallowfield": "HOL",
        "Ishaan Merriwick": "ASH",
    },
}
"""Who holds the records that stay, each with the code of one school."""
STEPS = (("Bronze", -45), ("Silver", -10), ("Gold", 70))
"""Steps of an award, and how far each lies from a usual mark, in cm."""
BEYOND_CM = 12
"""So much longer than everything of the day are the records that stay."""


def add_records(meet: Meet, now: datetime) -> None:
    """One record of the book is beaten by one mark of the day; all others stay out of reach."""
    by = OFFICIALS[1]
    book = store_book(book=_book(), meet=meet)
    nows = states_of(meet)
    beaten = next((one for one in nows if _beaten_by_one(one)), nows[0])
    holders = {category: cycle(known.items()) for category, known in HOLDERS.items()}
    for number, one in enumerate(nows):
        mark = max(_legal(one)) - 1 if one is beaten else _longest(one) + BEYOND_CM
        holder, code = next(holders[Event.Category(one.event.category)])
        add_record(record=_record(book, one.event, mark, number, holder, SCHOOLS[code]), by=by)
    store_standards(meet=meet, given=_standards(), keep_others=False)
    store_next_meet(following=_next_meet(meet))
    for one in nows:
        claims_from(one.event, now, by)


def _book() -> RecordBook:
    """The book of the district; a second day of the demonstration has one of its own."""
    name = "Harrowdown district records"
    others = RecordBook.objects.filter(name__startswith=name).count()
    return RecordBook(name=f"{name} ({others + 1})" if others else name, level=RecordBook.Level.DISTRICT)


def _legal(one: EventNow) -> list[int]:
    """Marks with a legal wind of those who are no guests."""
    return [
        trial.valid_mark
        for entry in one.state.entries
        if not entry.guest and entry.status != "DQ"
        for trial in entry.series.trials
        if trial.valid_mark is not None and wind_status(trial.wind) is WindStatus.LEGAL
    ]


def _beaten_by_one(one: EventNow) -> bool:
    marks = sorted(_legal(one))
    return len(marks) > 1 and marks[-1] == _longest(one) and marks[-2] < marks[-1] - 1


def _longest(one: EventNow) -> int:
    return max((mark for entry in one.state.entries for mark in entry.series.marks), default=400)


def _record(book: RecordBook, event: Event, mark: int, number: int, holder: str, school: str) -> Record:
    return Record(
        book=book,
        discipline=event.discipline,
        category=event.category,
        age_group=event.age_group,
        mark=mark,
        wind_tenths=3 + number,
        holder=holder,
        school=school,
        year=event.meet.date.year - 1 - number % 7,
    )


def _standards() -> list[GivenStandard]:
    """Three steps for each event, to the next 5 cm."""
    return [
        GivenStandard(line, name, discipline, category, age_group, (usual + more) // 5 * 5)
        for line, ((discipline, category, age_group), usual, name, more) in enumerate(
            ((key, usual, name, more) for key, usual in TYPICAL_CM.items() for name, more in STEPS), 1
        )
    ]


def _next_meet(meet: Meet) -> NextMeet:
    return NextMeet(
        meet=meet,
        name="Four Valleys schools' jumps",
        date=_later(meet, weeks=3),
        venue="Thornbeck sports ground",
        reply_by=_later(meet, weeks=1),
        reply_to="secretary@example.org",
        places=2,
        standard="Gold",
    )


def _later(meet: Meet, *, weeks: int) -> date:
    return meet.date + timedelta(weeks=weeks)
