"""Addresses and forms of the grid with what nobody should send: an answer below 500, and nothing kept or stored."""

import pytest
from django.urls import reverse

from meets.models import TypedSheet
from tests.factories import EventFactory, TypedSheetFactory

VALUES = (
    "", "٣", "²", "-1", "9" * 20, "1" * 5000, "NaN", "a\0b", "'\"<b>🦘", "1-2-3", "x/٣", "x/999999", "\r\nX: y",
)  # fmt: skip
NAMES = ("t_1_1_1", "w_1_1_1", "bib_1_1", "t_1_1_99", "t_٣_٣_٣", "t_99_999_99", "w_9_1_1", "t_1_1_0", "t_", "bib_1_1_1")


@pytest.mark.parametrize("field", ["version", "flight", "later_lines"])
def test_the_choice_of_lines_may_be_nonsense(desk, field):
    for value in VALUES:
        assert desk.get("event", desk.event.pk, **{field: value}).status_code == 200, value


@pytest.mark.parametrize("field", [*NAMES, "version", "flight", "later_lines", "typed_by"])
def test_no_typing_breaks(desk, field):
    line = desk.get("event", desk.event.pk).context["layout"].blocks[0].lines[0]
    for value in VALUES:
        sent = {line.name: line.bib, "t_1_1_1": "x", "typed_by": "A. Keane", field: value}
        assert desk.post("event", desk.event.pk, **sent).status_code in (302, 422), value
    for sheet in TypedSheet.objects.all():
        assert desk.get("sheet", sheet.pk).status_code == 200
        assert desk.post("again", sheet.pk, **sent).status_code in (302, 422)
        assert desk.get("sheet", sheet.pk).status_code == 200


@pytest.mark.parametrize("field", ["seen", "ticked", "reason", "version"])
def test_nothing_goes_into_the_log_by_nonsense(desk, field):
    sheet = desk.typed_twice(**{desk.box_of("7", 1).trial: "512"})
    for value in VALUES:
        assert desk.post("store", sheet.pk, **{"version": "9", field: value}).status_code == 422, value
    assert not desk.event.log.filter(kind="jumped").exists()


@pytest.mark.parametrize("field", ["pick t|7|1", "paper t|7|1", "paper w|7|1", "pick", "seen"])
def test_nothing_is_settled_by_nonsense(desk, field):
    sheet = desk.typed_twice(**{desk.box_of("7", 1).trial: "521", desk.box_of("7", 1).wind: "-9"})
    for value in VALUES:
        assert desk.post("settle", sheet.pk, **{field: value}).status_code == 422, value


def test_a_name_is_kept_without_signs_that_cannot_be_stored(desk):
    assert desk.typed_once(typed_by="A. \0Ke\x07ane").typed_by == "A. Keane"


@pytest.mark.parametrize("number", [0, 999_999, 10**18, 10**30])
def test_numbers_in_an_address_that_name_nothing_are_not_found(desk, number):
    for name in ("event", "sheet", "again", "change"):
        assert desk.get(name, number).status_code == 404
    for name in ("settle", "store", "discard"):
        assert desk.client.post(desk.address(name, number)).status_code == 404


def test_events_and_sheets_of_another_meet_are_not_found(desk):
    sheet = TypedSheetFactory(event=EventFactory())
    assert desk.get("event", sheet.event.pk).status_code == 404
    for name in ("store", "discard", "settle", "again", "change"):
        answer = desk.client.post(reverse(f"grid:{name}", args=[desk.event.meet.slug, sheet.pk]), {"seen": ""})
        assert answer.status_code == 404
    assert TypedSheet.objects.filter(pk=sheet.pk).exists()
