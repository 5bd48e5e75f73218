from datetime import UTC, datetime

import pytest
from django.urls import reverse

from meets.models import TypedSheet
from meets.running import actions
from meets.running.actions import DESK
from tests.factories import EntryFactory, EventFactory

NOW = datetime(2027, 6, 12, 15, 0, tzinfo=UTC)
DESK_BY = {"by": "Organiser", "recorder": DESK, "now": NOW}


@pytest.fixture
def event(db):
    event = EventFactory(discipline="LJ", rule_changes={"cuts": "3:2"})
    for bib in ("7", "9", "12"):
        EntryFactory(event=event, bib=bib, seed_mark=None)
    actions.draw(event_id=event.pk, seed=3, **DESK_BY)
    return event


@pytest.fixture
def desk(desk_client, event):
    return Desk(desk_client, event)


class Desk:
    def __init__(self, client, event):
        self.client, self.event = client, event

    def address(self, name, *parts):
        return reverse(f"grid:{name}", args=[self.event.meet.slug, *parts])

    def get(self, name, *parts, **query):
        return self.client.get(self.address(name, *parts), query)

    def post(self, name, *parts, **fields):
        """Send a form; of a sheet as it stands, unless `seen` says otherwise."""
        if name in ("again", "change", "settle", "store", "discard"):
            fields = {"seen": self.seen(name, *parts), **fields}
        return self.client.post(self.address(name, *parts), fields)

    def seen(self, name, sheet_id):
        page = self.get("change" if name == "change" else "sheet", sheet_id).context
        return page["seen"] if "seen" in page else page["page"].seen

    def fields(self, **more):
        """The form filled in: 7 leads, 12 is out after round 3."""
        page = self.get("event", self.event.pk).context["layout"]
        found = {"typed_by": "A. Keane", "version": page.version, "later_lines": page.later_lines}
        marks = {"7": (512, 498, 505), "9": (480, "x", 477), "12": (444, "-", "x")}
        for line in page.blocks[0].lines:
            if line.given:
                found[line.name] = line.bib
                for box, mark in zip(line.boxes, marks[line.bib], strict=True):
                    found[box.trial] = str(mark)
                    found[box.wind] = "" if mark in ("x", "-") else str(box.round + 3 * line.number)
        for number, (bib, mark) in enumerate((("9", 482), ("7", 501)), 1):
            found[f"bib_4_{number}"] = bib
            for round in (4, 5, 6):
                found[f"t_4_{number}_{round}"] = str(mark + round) if round < 6 else "x"
                found[f"w_4_{number}_{round}"] = str(round + number) if round < 6 else ""
        return found | more

    def typed_once(self, **more):
        answer = self.post("event", self.event.pk, **self.fields(**more))
        assert answer.status_code == 302
        return TypedSheet.objects.get()

    def typed_twice(self, **more):
        sheet = self.typed_once()
        assert self.post("again", sheet.pk, **self.fields(typed_by="B. Lodder", **more)).status_code == 302
        sheet.refresh_from_db()
        return sheet

    def box_of(self, bib, round):
        page = self.get("event", self.event.pk).context["layout"]
        line = next(line for line in page.blocks[0].lines if line.bib == bib)
        return next(box for box in line.boxes if box.round == round)
