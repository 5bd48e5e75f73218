"""What the server does with a batch: stored once, in the log, answered alike however often it comes."""

import json
from itertools import product
from uuid import uuid4

import pytest

from meets.models import Delivery, LogRow, SetAside
from meets.pit.sync.actions import push
from meets.pit.sync.bringers import bringer_of
from meets.pit.sync.message import read_batch
from meets.running import actions
from meets.running.reads import state_of
from tests.factories import EntryFactory, EventFactory, SessionPartFactory
from tests.meets.pit.conftest import DESK_BY
from tests.meets.pit.sync.canonical import canonical_hash
from tests.meets.pit.sync.phone import NOW, Phone, key_of, statuses


def log_of(event):
    return list(event.log.order_by("rev").exclude(kind="drawn"))


def test_a_new_entry_is_in_the_log_under_its_own_id(event, phone):
    said = phone.jump(event, "2", 1, 543)
    done = phone.send_all()
    assert [(one.id, one.status, one.says) for one in done.results] == [(said["id"], "stored", "")]
    (row,) = log_of(event)
    assert (str(row.pk), row.rev, row.kind, row.values) == (said["id"], 2, "jumped", said["values"])
    assert (row.recorder, row.by, row.reason, row.supersedes) == ("pit", "R. Corder", "", [])
    assert int(row.at.timestamp() * 1000) == said["wall"]
    assert state_of(event).entry(key_of(event, "2")).best == 543


def test_the_delivery_keeps_the_very_text(event, phone):
    said = phone.jump(event, "2", 1)
    odd = json.dumps(said, indent=1, ensure_ascii=True)
    text = phone.text(said).replace(json.dumps(said), odd)
    assert odd in text
    push(batch=read_batch(text), bringer=bringer_of(phone.caller), now=NOW)
    delivery = Delivery.objects.get()
    assert (delivery.body, delivery.hash, delivery.seq) == (odd, said["hash"], 1)
    assert (delivery.status, delivery.event, delivery.brought_by) == ("stored", event, phone.device)


def test_the_same_batch_again_changes_nothing_and_says_so(event, phone):
    phone.jump(event, "1", 1)
    phone.jump(event, "2", 1)
    first = phone.send_all()
    again = phone.send_all()
    assert (statuses(first), statuses(again)) == (["stored"] * 2, ["duplicate"] * 2)
    assert again.have == first.have
    assert (len(log_of(event)), Delivery.objects.count()) == (2, 2)


def test_an_entry_twice_in_one_batch_is_stored_once(event, phone):
    said = phone.jump(event, "1", 1)
    assert statuses(phone.send(said, said)) == ["stored", "duplicate"]
    assert len(log_of(event)) == 1


def test_without_a_hash_the_server_makes_it(event, phone):
    said = phone.jump(event, "1", 1)
    bare = {name: value for name, value in said.items() if name != "hash"}
    assert statuses(phone.send(bare)) == ["stored"]
    assert Delivery.objects.get().hash == said["hash"]
    assert statuses(phone.send(said)) == ["duplicate"]


@pytest.mark.parametrize("text", ["Zoë–Ann “Ó”", 'line\nbreak \\ "quote" \t\x1f\x7f\u2028', "😀"])
def test_the_hash_is_that_of_the_canonical_text(event, phone, text):
    said = phone.write(event, "left", {"entry": key_of(event, "1"), "where": text})
    assert said["hash"] == canonical_hash(said)
    assert statuses(phone.send_all()) == ["stored"]


def test_a_hash_that_does_not_fit_sets_the_entry_aside(event, phone):
    said = phone.jump(event, "1", 1)
    assert statuses(phone.send({**said, "hash": "0" * 64})) == ["quarantined"]
    aside = SetAside.objects.get()
    assert (aside.device, aside.clashes_with, aside.hash) == (phone.device, "hash", said["hash"])
    assert (log_of(event), Delivery.objects.count()) == ([], 0)


@pytest.mark.parametrize("what", ["id", "seq"])
def test_two_entries_under_one_id_or_number_are_both_kept(event, phone, what):
    first = phone.jump(event, "1", 1, 543)
    phone.send_all()
    other = phone.jump(event, "1", 1, 534, **{what: first[what]})
    for _ in range(2):
        done = phone.send(other, max_seq=other["seq"])
        assert statuses(done) == ["quarantined"]
    aside = SetAside.objects.get()
    assert (json.loads(aside.body), aside.clashes_with) == (other, first["id"])
    assert [row.values["mark"] for row in log_of(event)] == [543]
    assert done.have.whole


def test_the_id_of_a_row_that_somebody_wrote_at_the_desk_is_taken(event, phone):
    drawn = event.log.get()
    assert statuses(phone.send(phone.jump(event, "1", 1, id=str(drawn.pk)))) == ["quarantined"]
    assert SetAside.objects.get().clashes_with == str(drawn.pk)


def test_what_has_come_is_said_with_its_holes(event, phone):
    said = [phone.jump(event, bib, 1) for bib in "123"] + [phone.jump(event, bib, 2) for bib in "123"]
    assert (phone.send(said[0]).have.upto, phone.send(said[0]).have.holes) == (1, ((2, 6),))
    have = phone.send(said[2], said[4]).have
    assert (have.upto, have.holes) == (1, ((2, 2), (4, 4), (6, 6)))
    have = phone.send(said[1]).have
    assert (have.upto, have.holes) == (3, ((4, 4), (6, 6)))
    have = phone.send(said[3], said[5]).have
    assert (have.upto, have.holes) == (6, ())


def test_another_phone_may_bring_them(event, phone, second):
    phone.jump(event, "1", 1)
    assert statuses(phone.send(by=second)) == ["stored"]
    assert (log_of(event)[0].recorder, Delivery.objects.get().brought_by) == ("pit", second.device)
    assert statuses(phone.send_all()) == ["duplicate"]


def poison(event, session):
    """What stands in the way of an entry, and what is said about it."""
    other = EventFactory(meet=event.meet, age_group="U17")
    stranger = EntryFactory(event=other)
    own = key_of(event, "1")
    mark = {"entry": own, "round": 1, "result": "mark", "mark": 500}
    return {
        "nobody": ("jumped", {**mark, "entry": "999999"}, {}, "not entered"),
        "of another event": ("jumped", {**mark, "entry": str(stranger.pk)}, {}, "not entered"),
        "no key at all": ("jumped", {**mark, "entry": "Ilsa"}, {}, "not entered"),
        "a seventh trial": ("jumped", {**mark, "round": 7}, {}, "only 6 rounds"),
        "round 0": ("jumped", {**mark, "round": 0}, {}, "Rounds are counted"),
        "no kind": ("danced", {}, {}, "does not allow"),
        "not for this role": ("card", {"entry": own, "colour": "red"}, {}, "does not allow"),
        "not this role": ("jumped", mark, {"role": "referee"}, "does not allow"),
        "no role": ("jumped", mark, {"role": "king"}, "does not allow"),
        "not for phones": ("drawn", {"flights": [[own]]}, {}, "does not allow"),
        "a field too many": ("jumped", {**mark, "speed": 9}, {}, "speed"),
        "a text for a number": ("jumped", {**mark, "mark": "500"}, {}, "jumped.mark"),
        "a fraction": ("jumped", {**mark, "mark": 500.5}, {}, "jumped.mark"),
        "too far": ("jumped", {**mark, "mark": 5000}, {}, "nobody has jumped"),
        "a huge number": ("jumped", {**mark, "mark": 10**30}, {}, "nobody has jumped"),
        "no mark": ("jumped", {"entry": own, "round": 1, "result": "mark"}, {}, "needs its mark"),
        "no values": ("jumped", None, {}, "missing"),
        "an unstorable letter": ("left", {"entry": own, "where": "a\0b"}, {}, "cannot be stored"),
        "a correction without a reason": ("jumped", mark, {"supersedes": [str(uuid4())]}, "needs its reason"),
        "supersedes nonsense": ("jumped", mark, {"supersedes": ["first"], "reason": "slip"}, "named as rows"),
        "another event": ("jumped", mark, {"event": other.pk}, "does not cover"),
        "no event": ("jumped", mark, {"event": 999999}, "not in this meet"),
        "no event at all": ("jumped", mark, {"event": "LJ"}, "not in this meet"),
        "an event of another meet": ("jumped", mark, {"event": EventFactory().pk}, "another meet"),
        "another meet": ("jumped", mark, {"meet": 999999}, "another meet"),
        "a later version": ("jumped", mark, {"v": 2}, "newer version"),
    }  # fmt: skip


POISON = (
    "nobody", "of another event", "no key at all", "a seventh trial", "round 0", "no kind", "not for this role",
    "not this role", "no role", "not for phones", "a field too many", "a text for a number", "a fraction", "too far",
    "a huge number", "no mark", "no values", "an unstorable letter", "a correction without a reason",
    "supersedes nonsense", "another event", "no event", "no event at all", "an event of another meet", "another meet",
    "a later version",
)  # fmt: skip


@pytest.mark.parametrize("name", POISON)
def test_poison_waits_and_blocks_nothing(event, phone, session, name):
    bad_ones = poison(event, session)
    assert tuple(bad_ones) == POISON
    kind, values, more, says = bad_ones[name]
    before = LogRow.objects.count()
    phone.jump(event, "2", 1)
    bad = phone.write(event, kind, values, **more)
    phone.jump(event, "3", 1)
    done = phone.send_all()
    assert statuses(done) == ["stored", "needs_review", "stored"]
    assert says in done.results[1].says
    assert done.have.upto == 3
    assert LogRow.objects.count() == before + 2
    waiting = Delivery.objects.get(pk=bad["id"])
    assert (waiting.status, waiting.problem) == ("needs_review", done.results[1].says)
    again = phone.send(bad)
    assert (statuses(again), again.results[0].says) == (["needs_review"], done.results[1].says)


def test_a_closed_event_keeps_what_comes_later(event, phone):
    phone.jump(event, "1", 1)
    phone.send_all()
    closed = actions.close(event_id=event.pk, reason="rain", **DESK_BY)
    phone.jump(event, "2", 1)
    done = phone.send_all()
    assert (statuses(done), "closed" in done.results[1].says) == (["duplicate", "needs_review"], True)
    actions.take_back(event_id=event.pk, row=closed.rows[0], reason="the rain is over", **DESK_BY)
    phone.jump(event, "3", 1)
    assert statuses(phone.send_all()) == ["duplicate", "needs_review", "stored"]


def test_rounds_that_the_referee_added_are_rounds(event, phone):
    event.rule_changes = {"rounds": "3", "cuts": "", "reorder_before": ""}
    event.save()
    assert statuses(phone.send(phone.jump(event, "1", 4))) == ["needs_review"]
    actions.change_rule(event_id=event.pk, field="rounds", value="4", reason="time enough", **DESK_BY)
    assert statuses(phone.send(phone.jump(event, "2", 4))) == ["stored"]


def test_what_it_supersedes_need_not_have_come(event, phone):
    first = phone.jump(event, "1", 1, 534)
    right = phone.jump(event, "1", 1, 543, supersedes=[first["id"]], reason="misheard")
    assert statuses(phone.send(right)) == ["stored"]
    assert statuses(phone.send(first)) == ["stored"]
    assert state_of(event).entry(key_of(event, "1")).best == 543


@pytest.mark.parametrize(
    ("hundredths", "tenths"),
    [(203, 21), (200, 20), (-203, -20), (0, 0), (7, 1)],  # WA TR 17 (from memory): towards the tail wind
)
def test_a_gauge_with_two_decimals_is_rounded_here(event, session, phone, hundredths, tenths):
    gauge = Phone(session, "gauge")
    said = {"entry": key_of(event, "1"), "round": 1, "hundredths": hundredths}
    assert statuses(gauge.send(gauge.write(event, "wind_read", said))) == ["stored"]
    assert log_of(event)[-1].values == {"entry": key_of(event, "1"), "round": 1, "tenths": tenths}


@pytest.mark.parametrize(
    "values", [{"hundredths": 2001}, {"hundredths": "203"}, {"hundredths": 203, "tenths": 21}, {"hundredths": True}]
)
def test_a_reading_that_is_none_is_looked_at_first(event, session, phone, values):
    gauge = Phone(session, "gauge")
    wind = gauge.write(event, "wind_read", {"entry": key_of(event, "1"), "round": 1, **values})
    assert statuses(gauge.send(wind)) == ["needs_review"]


def test_the_gauge_takes_back_winds_only(event, session, phone):
    gauge = Phone(session, "gauge")
    jumped = phone.jump(event, "1", 1)
    phone.send_all()
    turn = {"entry": key_of(event, "1"), "round": 1}
    wind = gauge.write(event, "wind_read", {**turn, "tenths": 14})
    back = gauge.write(event, "voided", turn, supersedes=[wind["id"]], reason="other trial")
    trial = gauge.write(event, "voided", turn, supersedes=[jumped["id"]], reason="mistake")
    assert statuses(gauge.send(wind, back, trial)) == ["stored", "stored", "needs_review"]


@pytest.mark.parametrize(
    ("role", "kind"),
    [
        *product(("recorder", "second"), ("voided", "jumped", "wind_read", "left")),
        ("gauge", "voided"),
        ("gauge", "wind_read"),
    ],
)
def test_nobody_puts_an_end_to_what_only_others_write(event, session, role, kind):
    """The draw, a card, a disqualification: a made-up push cannot take them back."""
    referee, phone = Phone(session, "referee"), Phone(session, role)
    values = {"entry": key_of(event, "1")} if kind == "left" else {"entry": key_of(event, "1"), "round": 1}
    values |= {"jumped": {"result": "x"}, "wind_read": {"tenths": 3}}.get(kind, {})
    out = referee.write(event, "disqualified", {"entry": key_of(event, "1")}, reason="danger")
    assert statuses(referee.send_all()) == ["stored"]
    drawn = str(event.log.get(kind="drawn").pk)
    for old in (out["id"], drawn):
        phone.write(event, kind, values, supersedes=[old], reason="made up")
    assert statuses(phone.send_all()) == ["needs_review"] * 2
    state = state_of(event)
    assert (state.entry(key_of(event, "1")).status, len(state.flights)) == ("DQ", 1)


def test_a_referee_puts_right_a_ruling_and_not_the_draw(event, session):
    referee = Phone(session, "referee")
    shown = referee.write(event, "card", {"entry": key_of(event, "1"), "colour": "yellow"}, reason="language")
    back = referee.write(event, "voided", {"entry": key_of(event, "1")}, supersedes=[shown["id"]], reason="other bib")
    drawn = referee.write(event, "voided", {}, supersedes=[str(event.log.get(kind="drawn").pk)], reason="made up")
    assert statuses(referee.send(shown)) == ["stored"]
    assert statuses(referee.send(back, drawn)) == ["stored", "needs_review"]


@pytest.mark.parametrize(
    ("kind", "values"), [("joined", {"round": 1}), ("did_not_start", {}), ("withdrew", {}), ("left", {})]
)
@pytest.mark.parametrize("role", ["recorder", "second"])
def test_a_recorder_takes_back_nothing_but_trials_and_winds_of_a_referee(event, session, role, kind, values):
    """What both of them may write stays the referee's where the referee wrote it."""
    referee, phone, entry = Phone(session, "referee"), Phone(session, role), key_of(event, "1")
    ruled = referee.write(event, kind, {"entry": entry, **values})
    assert statuses(referee.send_all()) == ["stored"]
    phone.write(event, "voided", {"entry": entry}, supersedes=[ruled["id"]], reason="made up")
    phone.write(event, kind, {"entry": entry, **values}, supersedes=[ruled["id"]], reason="made up")
    done = phone.send_all()
    assert statuses(done) == ["needs_review"] * 2
    assert {one.says for one in done.results} == {"It puts right what only the referee or the desk may put right."}
    own = referee.write(event, "voided", {"entry": entry}, supersedes=[ruled["id"]], reason="other bib")
    assert statuses(referee.send(own)) == ["stored"]


def test_phones_are_exchanged_and_go_on_putting_right(event, session, phone):
    """Another phone of the same role, and gauge and recorder each the winds of the other."""
    other, gauge = Phone(session, "recorder"), Phone(session, "gauge")
    turn = {"entry": key_of(event, "1"), "round": 1}
    gone = phone.write(event, "left", {"entry": key_of(event, "2")})
    trial, wind = phone.jump(event, "1", 1), gauge.write(event, "wind_read", {**turn, "tenths": 14})
    assert statuses(phone.send_all()) == ["stored"] * 2
    assert statuses(gauge.send_all()) == ["stored"]
    again = other.write(event, "wind_read", {**turn, "tenths": 4}, supersedes=[wind["id"]], reason="misread")
    other.jump(event, "1", 1, 534, supersedes=[trial["id"]], reason="misread")
    other.write(event, "voided", {"entry": key_of(event, "2")}, supersedes=[gone["id"]], reason="other bib")
    assert statuses(other.send_all()) == ["stored"] * 3
    back = gauge.write(event, "wind_read", {**turn, "tenths": 14}, supersedes=[again["id"]], reason="misheard")
    assert statuses(gauge.send(back)) == ["stored"]


def test_a_second_record_puts_right_its_own_trials_and_those_that_took_their_place(event, session):
    first, second = Phone(session, "recorder"), Phone(session, "second")
    lone, seen = first.jump(event, "1", 1), second.jump(event, "2", 1, 512)
    settled = first.jump(event, "2", 1, 521, supersedes=[seen["id"]], reason="read again")
    assert statuses(second.send_all()) == ["stored"]
    assert statuses(first.send_all()) == ["stored"] * 2
    back = {"supersedes": [lone["id"]], "reason": "made up"}
    second.write(event, "voided", {"entry": key_of(event, "1"), "round": 1}, **back)
    second.jump(event, "1", 1, 501, **back)
    second.jump(event, "2", 1, 512, supersedes=[settled["id"]], reason="misread")
    assert statuses(second.send_all()) == ["duplicate", "needs_review", "needs_review", "stored"]


def test_a_clock_that_is_wrong_by_years_gives_the_time_of_receipt(event, phone):
    phone.jump(event, "1", 1, wall=0)
    phone.jump(event, "2", 1, wall=10**40)
    phone.jump(event, "3", 1, wall=1, offset=int(NOW.timestamp() * 1000))
    assert statuses(phone.send_all()) == ["stored"] * 3
    assert [row.at for row in log_of(event)][:2] == [NOW, NOW]
    assert log_of(event)[2].at > NOW


def test_entries_for_two_events_in_one_batch(event, session, phone):
    other = EventFactory(meet=event.meet, discipline="LJ", age_group="U17")
    SessionPartFactory(event=other, session=session)
    EntryFactory(event=other, bib="41")
    phone.jump(other, "41", 1)
    phone.jump(event, "1", 1)
    phone.jump(other, "41", 2)
    assert statuses(phone.send_all()) == ["stored"] * 3
    assert (other.log.count(), len(log_of(event))) == (2, 1)
