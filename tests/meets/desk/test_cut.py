"""What the referee decides between rounds: number of trials, cut, order."""

import pytest

from meets.desk.cut.reads import decisions_of
from meets.running import actions
from tests.factories import EntryFactory
from tests.meets.desk.conftest import desk

# Bib n has n centimetres over five metres, and bib 1 and 2 are equal in best.
MARKS = {str(n): f"5.{n:02d} x 4.{n:02d}" for n in range(3, 11)} | {"1": "5.02 x 4.01", "2": "5.02 x 4.05"}


@pytest.fixture
def after_three(ten):
    return ten.draw().jump_by_bib(MARKS, 3)


def send(desk_client, played, **changes):
    page = decisions_of(played.event)
    boxes = {f"on_{row.person.entry}": "on" for row in page.rows if row.goes_on}
    order = " ".join(person.bib for person in page.order)
    sent = {"seen_version": page.version, "order": order, "reason": "", **boxes, **changes}
    return desk_client.post(
        desk(played.event, "cut/"), {name: value for name, value in sent.items() if value is not None}
    )


def test_the_number_of_trials_is_proposed_after_round_1_and_confirmed(desk_client, ten):
    ten.draw().jump(*["5.00+1.0"] * 10)
    page = desk_client.get(desk(ten.event, "cut/")).context["page"]
    assert page.trials.says == "10 started, more than 8: the best 8 after round 3 take 6 trials."
    sent = {"with_cut": "yes", "rounds": "6", "reason": "", "seen_version": page.version}
    assert desk_client.post(desk(ten.event, "cut/"), sent).status_code == 302
    assert ten.state.trials_proposal is None
    assert ten.event.log.get(kind="trials_confirmed").values == {"starters": 10, "rounds": 6, "with_cut": True}


def test_another_number_of_trials_needs_its_reason(desk_client, ten):
    ten.draw().jump(*["5.00+1.0"] * 10)
    sent = {"with_cut": "no", "rounds": "6", "reason": "", "seen_version": ten.state.version}
    answer = desk_client.post(desk(ten.event, "cut/"), sent)
    assert answer.context["form"].non_field_errors() == ["Another number of trials than proposed needs its reason."]
    assert desk_client.post(desk(ten.event, "cut/"), {**sent, "reason": "two have to leave"}).status_code == 302


def test_everybody_in_or_out_has_a_reason(after_three):
    page = decisions_of(after_three.event)
    says = {row.person.bib: row.says for row in page.rows}
    assert says["10"] == "In: 1st of the best 8 after round 3 with 5.10."
    assert says["2"] == "Out: 9th with 5.02, and the best 8 go on."
    assert says["1"] == "Out: 10th with 5.02, and the best 8 go on."
    assert [row.person.bib for row in page.rows if row.goes_on] == ["10", "9", "8", "7", "6", "5", "4", "3"]


def test_the_cut_is_taken_with_the_order_to_be_read_out(desk_client, after_three):
    keys = after_three.keys
    assert send(desk_client, after_three).status_code == 302
    taken, called = after_three.event.log.order_by("rev")[after_three.event.log.count() - 2 :]
    assert taken.values["going_on"] == [keys[bib] for bib in ("10", "9", "8", "7", "6", "5", "4", "3")]
    assert called.values["order"] == [keys[bib] for bib in ("3", "4", "5", "6", "7", "8", "9", "10")]
    assert after_three.state.callable[0].turn.entry == keys["3"]


def test_another_cut_needs_its_reason(desk_client, after_three):
    key = after_three.keys["2"]
    answer = send(desk_client, after_three, **{f"on_{key}": "on"})
    assert answer.status_code == 422
    assert answer.context["form"].non_field_errors() == ["Another cut than proposed needs its reason."]
    assert not after_three.event.log.filter(kind="cut_taken").exists()
    assert send(desk_client, after_three, reason="flag seen late", **{f"on_{key}": "on"}).status_code == 302
    [taken] = decisions_of(after_three.event).taken
    assert (len(taken.going_on), taken.reason) == (9, "flag seen late")


def test_another_order_needs_its_reason_and_names_those_who_go_on(desk_client, after_three):
    turned = "4 3 5 6 7 8 9 10"
    answer = send(desk_client, after_three, order=turned)
    assert answer.context["form"].non_field_errors() == ["Another order than proposed needs its reason."]
    answer = send(desk_client, after_three, order="4 3 77 6", reason="as agreed")
    assert answer.context["form"].errors["order"] == [
        "No athlete of this event has the bib 77. Bibs of the event: 1, 2, 3, 4, 5, 6, 7, 8, 9, 10."
    ]
    assert send(desk_client, after_three, order=turned, reason="bib 3 is at the other pit").status_code == 302
    assert after_three.state.callable[0].turn.entry == after_three.keys["4"]


def test_a_cut_seen_before_somebody_else_recorded_is_refused(desk_client, after_three):
    seen = after_three.state.version
    key = after_three.keys["3"]
    actions.leave(**after_three.who, entry=key, where="first aid")
    answer = send(desk_client, after_three, seen_version=seen)
    assert answer.context["form"].non_field_errors() == [
        "Somebody has recorded in the meantime. Look at the page again, then decide."
    ]


def test_a_guest_good_enough_goes_on_as_an_extra(desk_client, ten):
    entry = EntryFactory(event=ten.event, bib="11", guest=True, board_cm=200)
    ten.draw().jump_by_bib({**MARKS, "11": "5.50 5.40 x"}, 3)
    rows = {row.person.entry: row for row in decisions_of(ten.event).rows}
    assert rows[str(entry.pk)].says == "In as a guest, as an extra: the mark 5.50 is good enough."
    # In the table, and in the order to be read out.
    assert desk_client.get(desk(ten.event, "cut/")).content.decode().count('<span class="tag">guest</span>') == 2
    assert sum(row.goes_on for row in rows.values()) == 9


def test_with_few_starters_the_order_alone_is_called(desk_client, three):
    three.draw().jump_by_bib({"1": "5.01 x x", "2": "5.03 x x", "3": "5.02 x x"}, 3)
    page = decisions_of(three.event)
    assert (page.cut_after, page.order_round, [person.bib for person in page.order]) == (None, 4, ["1", "3", "2"])
    sent = {"seen_version": page.version, "order": "1 3 2", "reason": ""}
    assert desk_client.post(desk(three.event, "cut/"), sent).status_code == 302
    assert three.state.callable[0].turn.entry == three.keys["1"]


def test_with_nothing_to_decide_the_page_says_what_will_be_here(desk_client, three):
    answer = desk_client.get(desk(three.event, "cut/"))
    assert (answer.context["form"], "Nothing to decide now" in answer.content.decode()) == (None, True)
