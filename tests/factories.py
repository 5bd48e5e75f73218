"""A factory for every model. All people, schools and places are invented.

An event's sex fits its athletes; a session's pit and an entry's event may belong to one meet by passing it:
`EntryFactory(event__meet=meet)`, `PitSessionFactory(pit__meet=meet)`.
"""

from datetime import UTC, date, datetime, timedelta
from hashlib import sha256
from itertools import product
from uuid import uuid4

import factory
from django.contrib.auth import get_user_model
from factory.django import DjangoModelFactory

from athletes.models import Athlete, Discipline, PastMark, School
from meets.models import (
    Delivery,
    Device,
    Entry,
    Event,
    LogRow,
    Mailing,
    Meet,
    NextMeet,
    Penalty,
    Pit,
    PitClock,
    PitKey,
    PitSession,
    Publication,
    Record,
    RecordBook,
    RecordClaim,
    SchoolPack,
    ServerEpoch,
    SessionPart,
    SetAside,
    Standard,
    Stream,
    TypedSheet,
)
from scoring.facts import CheckedIn, kind_of, to_plain

MEET_DAY = date(2027, 6, 12)
AGE_DAY = date(2027, 8, 31)
START = datetime(2027, 6, 12, 10, 0, tzinfo=UTC)
PASSWORD = "sand and spikes"

SCHOOLS = [
    ("THW", "Thornwick School"),
    ("ELG", "Elmgarth Academy"),
    ("PYD", "Pyddle Vale School"),
    ("QUA", "Quarrendon Grammar"),
    ("MIR", "Mirefold High"),
    ("OST", "Ostlerby College"),
    ("VEN", "Vennaside School"),
    ("HUR", "Hurstlebeck School"),
    ("CAW", "Cawdle Green Academy"),
]
GIRLS = ["Ilsa", "Maren", "Tove", "Odile", "Zofia", "Priya", "Amara", "Nell", "Edda", "Keziah"]
BOYS = ["Torin", "Anselm", "Bram", "Kofi", "Ravi", "Emrys", "Jarek", "Silas", "Ode", "Lucan"]
SURNAMES = [
    "Amblecote",
    "Brindlow",
    "Cravendale",
    "Dunthorpe",
    "Eskerby",
    "Farrowin",
    "Gatherell",
    "Hobbeck",
    "Inskeld",
]
# A typing of one line: bib 1 with a mark and its wind.
TYPED = {
    "boxes": {"1": {"1": ["5.43", "+1.4"]}},
    "lines": {"1": ["1"]},
    "no_gauge": False,
    "order_written": True,
}
EVENTS = list(
    product(
        ("U15", "U13", "U17", "U20"),
        (Event.Category.GIRLS, Event.Category.BOYS),
        (Discipline.LONG_JUMP, Discipline.TRIPLE_JUMP),
    )
)


class OrganiserFactory(DjangoModelFactory):
    """An account of the meet desk; its password is `PASSWORD`."""

    class Meta:
        model = get_user_model()
        skip_postgeneration_save = True

    username = factory.Sequence(lambda n: f"organiser{n}")
    password = factory.django.Password(PASSWORD)


class SchoolFactory(DjangoModelFactory):
    class Meta:
        model = School

    code = factory.Sequence(lambda n: SCHOOLS[n % 9][0] + ("" if n < 9 else str(n // 9)))
    name = factory.Sequence(lambda n: SCHOOLS[n % 9][1] + ("" if n < 9 else f" {n // 9}"))
    contact_email = factory.LazyAttribute(lambda school: f"{school.code.lower()}@example.org")


class AthleteFactory(DjangoModelFactory):
    class Meta:
        model = Athlete

    school = factory.SubFactory(SchoolFactory)
    sex = Athlete.Sex.FEMALE
    first_name = factory.LazyAttributeSequence(
        lambda athlete, n: (BOYS if athlete.sex == Athlete.Sex.MALE else GIRLS)[n % 10]
    )
    last_name = factory.Sequence(lambda n: SURNAMES[n % 9] + ("" if n < 90 else f" {n // 90}"))
    born = factory.Sequence(lambda n: date(2013, 1, 1) + timedelta(days=n % 300))
    school_year = "9"


class PastMarkFactory(DjangoModelFactory):
    class Meta:
        model = PastMark

    athlete = factory.SubFactory(AthleteFactory)
    discipline = Discipline.LONG_JUMP
    mark_cm = 452
    wind_tenths = 8
    jumped_on = date(2027, 5, 8)
    source = "class trials"


class MeetFactory(DjangoModelFactory):
    class Meta:
        model = Meet

    slug = factory.Sequence(lambda n: f"meet-{n}")
    name = factory.Sequence(lambda n: f"District meet {n}")
    date = MEET_DAY
    venue = "Pyddle Vale"
    age_date = AGE_DAY


class EventFactory(DjangoModelFactory):
    """Up to 16 events of one meet are all different: U15 girls long jump, U15 girls triple jump, ..."""

    class Meta:
        model = Event

    meet = factory.SubFactory(MeetFactory)
    age_group = factory.Sequence(lambda n: EVENTS[n % 16][0])
    category = factory.Sequence(lambda n: EVENTS[n % 16][1])
    discipline = factory.Sequence(lambda n: EVENTS[n % 16][2])
    name = factory.LazyAttribute(
        lambda event: f"{event.age_group} {event.category} {Discipline(event.discipline).label}"
    )
    starts_at = START
    position = factory.Sequence(lambda n: n)


class EntryFactory(DjangoModelFactory):
    class Meta:
        model = Entry

    event = factory.SubFactory(EventFactory, discipline=Discipline.LONG_JUMP)
    athlete = factory.SubFactory(
        AthleteFactory,
        sex=factory.LazyAttribute(
            lambda athlete: "M" if athlete.factory_parent.event.category == Event.Category.BOYS else "F"
        ),
    )
    bib = factory.Sequence(lambda n: str(n + 1))
    seed_mark = 452
    seed_date = date(2027, 5, 8)


class PitFactory(DjangoModelFactory):
    class Meta:
        model = Pit

    meet = factory.SubFactory(MeetFactory)
    name = factory.Sequence(lambda n: f"Pit {n + 1}")
    boards_cm = factory.LazyFunction(lambda: [100, 700, 900, 1100])
    gauge = "gauge 1"


class PitSessionFactory(DjangoModelFactory):
    class Meta:
        model = PitSession

    pit = factory.SubFactory(PitFactory)
    name = factory.Sequence(lambda n: f"Session {n + 1}")
    starts_at = START


class SessionPartFactory(DjangoModelFactory):
    """All flights of an event in a session, both of one meet."""

    class Meta:
        model = SessionPart

    event = factory.SubFactory(EventFactory)
    session = factory.SubFactory(
        PitSessionFactory,
        pit__meet=factory.LazyAttribute(lambda pit: pit.factory_parent.factory_parent.event.meet),
    )


class PenaltyFactory(DjangoModelFactory):
    class Meta:
        model = Penalty

    meet = factory.SubFactory(MeetFactory)
    school = factory.SubFactory(SchoolFactory)
    points = 1
    reason = "an athlete over the limit"
    by = "R. Feree"
    at = START


class LogRowFactory(DjangoModelFactory):
    """The next row of an event's log: `LogRowFactory(event=event, fact=Jumped("7", 1, Result.MARK, 543))`."""

    class Meta:
        model = LogRow

    class Params:
        fact = CheckedIn("1")

    event = factory.SubFactory(EventFactory)
    rev = factory.LazyAttribute(lambda row: LogRow.objects.filter(event=row.event).count() + 1)
    kind = factory.LazyAttribute(lambda row: kind_of(row.fact))
    values = factory.LazyAttribute(lambda row: to_plain(row.fact))
    recorder = "pit"
    by = "R. Corder"
    at = factory.LazyAttribute(lambda row: START + timedelta(minutes=row.rev))


class TypedSheetFactory(DjangoModelFactory):
    """A first typing of one line, bib 7: 5.43 with +0.4, a failure, a pass."""

    class Meta:
        model = TypedSheet

    event = factory.SubFactory(EventFactory)
    draw_version = 0
    cells = factory.LazyFunction(
        lambda: {
            "flight": 0,
            "later_lines": 3,
            "first": {
                "boxes": {"7": {"1": ["5.43", "+0.4"], "2": ["x", ""], "3": ["-", ""]}},
                "lines": {"1": ["7"]},
                "no_gauge": False,
                "order_written": True,
            },
        }
    )
    typed_by = "R. Corder"
    typed_at = START


class PitKeyFactory(DjangoModelFactory):
    """A recorder's key for one session; `secret` is what the printed code holds."""

    class Meta:
        model = PitKey

    class Params:
        secret = factory.Sequence(lambda n: f"invented secret {n}")

    session = factory.SubFactory(PitSessionFactory)
    meet = factory.LazyAttribute(lambda key: (key.session.pit if key.session else key.event).meet)
    roles = factory.LazyFunction(lambda: ["recorder"])
    hash = factory.LazyAttribute(lambda key: sha256(key.secret.encode()).hexdigest())
    made_by = "O. Rganiser"
    made_at = START


class DeviceFactory(DjangoModelFactory):
    class Meta:
        model = Device

    key = factory.SubFactory(PitKeyFactory)
    meet = factory.LazyAttribute(lambda device: device.key.meet)
    number = factory.LazyAttribute(lambda device: device.meet.devices.count() + 1)
    official = "R. Corder"
    came_in_at = START


class StreamFactory(DjangoModelFactory):
    class Meta:
        model = Stream

    device = factory.SubFactory(DeviceFactory)
    epoch = factory.LazyFunction(uuid4)
    begun_at = START


class DeliveryFactory(DjangoModelFactory):
    class Meta:
        model = Delivery

    stream = factory.SubFactory(StreamFactory)
    seq = factory.LazyAttribute(lambda delivery: delivery.stream.deliveries.count() + 1)
    body = "{}"
    hash = factory.LazyAttribute(lambda delivery: sha256(delivery.body.encode()).hexdigest())
    status = Delivery.Status.STORED
    brought_by = factory.LazyAttribute(lambda delivery: delivery.stream.device)
    at = START


class SetAsideFactory(DjangoModelFactory):
    class Meta:
        model = SetAside

    device = factory.SubFactory(DeviceFactory)
    body = "{}"
    hash = factory.Sequence(lambda n: sha256(str(n).encode()).hexdigest())
    clashes_with = "another entry"
    at = START


class ServerEpochFactory(DjangoModelFactory):
    class Meta:
        model = ServerEpoch

    begun_at = START


class PitClockFactory(DjangoModelFactory):
    class Meta:
        model = PitClock

    session = factory.SubFactory(PitSessionFactory)
    turn = "1-1-0"
    started_at = START


class PublicationFactory(DjangoModelFactory):
    """A version of a result with an empty document, for tests of what stands around it."""

    class Meta:
        model = Publication

    event = factory.SubFactory(EventFactory)
    meet = factory.LazyAttribute(lambda publication: publication.event.meet)
    version = factory.LazyAttribute(lambda publication: publication.event.publications.count() + 1)
    status = Publication.Status.PROVISIONAL
    document = "{}"
    sha256 = factory.LazyAttribute(lambda publication: sha256(publication.document.encode()).hexdigest())
    pdf = b""
    csv = "place,bib\n"
    by = "R. Feree"
    at = START


class SchoolPackFactory(DjangoModelFactory):
    class Meta:
        model = SchoolPack

    meet = factory.SubFactory(MeetFactory)
    school = factory.SubFactory(SchoolFactory)
    version = factory.LazyAttribute(lambda pack: pack.meet.packs.filter(school=pack.school).count() + 1)
    document = "{}"
    sha256 = factory.LazyAttribute(lambda pack: sha256(pack.document.encode()).hexdigest())
    pdf = b""
    csv = "place,bib\n"
    at = START


class MailingFactory(DjangoModelFactory):
    class Meta:
        model = Mailing

    pack = factory.SubFactory(SchoolPackFactory)
    address = factory.LazyAttribute(lambda mailing: mailing.pack.school.contact_email)
    message_id = factory.Sequence(lambda n: f"<pack-{n}@example.org>")
    made_at = START


class RecordBookFactory(DjangoModelFactory):
    """A book of district records; `school=...` with `level="school"` for one of a school."""

    class Meta:
        model = RecordBook

    name = factory.Sequence(lambda n: f"Record book {n}")
    level = RecordBook.Level.DISTRICT


class RecordFactory(DjangoModelFactory):
    class Meta:
        model = Record

    book = factory.SubFactory(RecordBookFactory)
    discipline = Discipline.LONG_JUMP
    category = Event.Category.GIRLS
    age_group = "U15"
    mark = 540
    wind_tenths = 6
    holder = "Edda Hobbeck"
    school = "Mirefold High"
    year = 2019


class RecordClaimFactory(DjangoModelFactory):
    class Meta:
        model = RecordClaim

    book = factory.SubFactory(RecordBookFactory)
    entry = factory.SubFactory(EntryFactory)
    event = factory.LazyAttribute(lambda claim: claim.entry.event)
    turn = factory.LazyAttribute(lambda claim: f"{claim.entry.pk}-1-0")
    mark = 543
    wind_tenths = 4
    made_at = START


class StandardFactory(DjangoModelFactory):
    class Meta:
        model = Standard

    meet = factory.SubFactory(MeetFactory)
    name = factory.Sequence(lambda n: f"Step {n + 1}")
    discipline = Discipline.LONG_JUMP
    mark = factory.Sequence(lambda n: 400 + 25 * n)


class NextMeetFactory(DjangoModelFactory):
    class Meta:
        model = NextMeet

    meet = factory.SubFactory(MeetFactory)
    name = "County schools' jumps"
    date = MEET_DAY + timedelta(days=21)
    venue = "Vennaside"
    reply_by = MEET_DAY + timedelta(days=7)
    places = 2
