import pytest

from meets.models import Role
from meets.pit.keys.roles import MAY_WRITE, recorder_name
from scoring.facts import KINDS

ALL = "recorder second referee"
WRITTEN_BY = {
    "jumped": ALL,
    "wind_read": f"{ALL} gauge",
    "no_gauge": f"{ALL} gauge",
    "board_set": ALL,
    "board_checked": ALL,
    "left": ALL,
    "returned": ALL,
    "checked_in": ALL,
    "did_not_start": ALL,
    "joined": ALL,
    "withdrew": ALL,
    "added": ALL,
    "voided": f"{ALL} gauge",
    "suspended": f"{ALL} gauge",
    "replaced": ALL,
    "protest_lodged": ALL,
    "handed_over": f"{ALL} gauge",
    "resumed": "referee",
    "readiness_signed": "referee",
    "disregarded": "referee",
    "called_in": "referee",
    "alarm_settled": "referee",
    "protest_decided": "referee",
    "card": "referee",
    "disqualified": "referee",
    "shortened": "referee",
    "trials_confirmed": "referee",
    "cut_taken": "referee",
    "order_called": "referee",
    "flights_merged": "referee",
    "flight_moved": "referee",
    # at the desk, or on a page that asks the engine first
    "drawn": "",
    "appeal_lodged": "",
    "appeal_decided": "",
    "confirmed": "",
    "abandoned": "",
    "rule_changed": "",
    "closed": "",
}


@pytest.mark.parametrize("kind", KINDS)
def test_who_writes_what(kind):
    assert {role.value for role in Role if kind in MAY_WRITE[role]} == set(WRITTEN_BY[kind].split())


@pytest.mark.parametrize(
    ("role", "record"),
    [("recorder", "pit"), ("second", "second recorder"), ("gauge", "gauge"), ("referee", "referee"), ("display", "")],
)
def test_whose_record_a_row_belongs_to(role, record):
    assert recorder_name(Role(role)) == record
