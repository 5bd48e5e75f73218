"""A meet with schools, entries and hand-made published results, so that packs have something to say."""

from hashlib import sha256

from meets.publishing.canonical import canonical
from meets.publishing.packs.actions import make_packs, put_in_line
from tests.factories import (
    START,
    AthleteFactory,
    EntryFactory,
    EventFactory,
    MeetFactory,
    PublicationFactory,
    SchoolFactory,
    SchoolPackFactory,
)
from tests.meets.publishing.documents import document, line, published, trial

NAMES = [("Łucja", "O’Neil"), ("Ελένη", "Παπαδοπούλου"), ("Дарья", "Соколова"), ("Siân", "D'Arcy-Ó Briain")]


class PublishedDay:
    """`schools` schools with one athlete each in each of `events` events, the first school first, and so on."""

    def __init__(self, *, schools=3, events=2, **meet):
        self.meet = MeetFactory(slug="spring-jumps", name="Spring jumps", venue="Pyddle Vale", **meet)
        self.events = [EventFactory(meet=self.meet) for _ in range(events)]
        self.schools = [SchoolFactory() for _ in range(schools)]
        for event in self.events:
            for number, school in enumerate(self.schools):
                first, last = NAMES[number % len(NAMES)]
                athlete = AthleteFactory(
                    school=school, first_name=first, last_name=last, sex="F" if event.category == "girls" else "M"
                )
                EntryFactory(event=event, athlete=athlete, bib=str(number + 1))

    def entry(self, event, school):
        return event.entries.select_related("athlete").get(athlete__school=school)

    def line(self, event, number, **changes):
        """The line of a school in an event, as the public sees it."""
        school = self.schools[number]
        entry = self.entry(event, school)
        best = 543 - 10 * (number % 30)
        series = changes.pop("series", [trial(1, best, 14), trial(2, "x"), trial(3, best - 20, 21)])
        return line(
            str(entry.pk), entry.bib, series,
            **{
                "name": f"{entry.athlete.first_name} {entry.athlete.last_name[0]}.",
                "school": {"code": school.code, "name": school.name},
                "place": number + 1,
                "points": str(max(8 - number, 0)),
                **changes,
            },
        )  # fmt: skip

    def result(self, event, *, changes=None, **values):
        """Publish a result. `changes`: by number of the school, what is other in its line."""
        changes = changes or {}
        lines = [self.line(event, number, **changes.get(number, {})) for number in range(len(self.schools))]
        made = document(
            event={"number": event.pk, "name": event.name},
            meet={"slug": self.meet.slug, "name": self.meet.name},
            **{"lines": lines, "version": event.publications.count() + 1, **values},
        )
        return published(event, made)

    def all_results(self, **values):
        for event in self.events:
            self.result(event, **values)
        return self

    def standings(self, *places, version=1, **values):
        """Publish team standings: place and points of each school."""
        made = {
            "kind": "standings",
            "format": 1,
            "address": "",
            "meet": document(meet={"slug": self.meet.slug, "name": self.meet.name})["meet"],
            "version": version,
            "status": "provisional",
            "published_at": "2027-06-12T14:30:00Z",
            "published_by": "O. Rganiser",
            "reason": "",
            "supersedes": None,
            "changes": [],
            "equal_totals": "stay equal",
            "events": [],
            "schools": [
                {
                    "code": school.code, "name": school.name, "place": place, "shared": False, "points": points,
                    "by_event": {}, "penalties": [],
                }
                for school, (place, points) in zip(self.schools, places, strict=True)
            ],
            "lines": [],
            **values,
        }  # fmt: skip
        text = canonical(made)
        return PublicationFactory(
            event=None,
            meet=self.meet,
            version=version,
            document=text,
            sha256=sha256(text.encode()).hexdigest(),
            at=START,
        )

    def packs(self):
        return make_packs(meet=self.meet, now=START)

    def in_line(self):
        """Packs made and their letters ready to be sent."""
        self.packs()
        return put_in_line(meet=self.meet, now=START)


def a_pack(meet, school, **values):
    """A stored pack that holds no result, to stand in a list and to be opened."""
    number = values.pop("version", 1)
    pack = {
        "kind": "pack", "format": 1, "version": number, "made_at": "2027-06-12T14:31:00Z", "since": None, "changes": [],
        "meet": document(meet={"slug": meet.slug, "name": meet.name})["meet"],
        "school": {"code": school.code, "name": school.name},
        "events": [], "not_published": [], "team": None, "next_meet": None, "open": [],
    }  # fmt: skip
    return SchoolPackFactory(meet=meet, school=school, version=number, document=canonical(pack), pdf=b"%PDF-", **values)
