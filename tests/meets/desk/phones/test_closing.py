"""An event is closed with proof that everything of phones is here, or with a reason that stays in its log."""

from datetime import timedelta

import pytest
from django.urls import reverse

from meets.pit.decisions.actions import close
from meets.publishing.actions import publish
from meets.running import actions
from meets.running.actions import DESK, Refusal
from meets.running.reads import state_of
from scoring.state import Stage
from tests.meets.desk.phones.conftest import clashes, says, waits
from tests.meets.pit.conftest import NOW, PIT_BY, AtPit, play

REASON = "phone 1 is lost; paper checked"


@pytest.fixture
def played(event, session):
    """All trials are taken; only the signature is missing."""
    actions.sign_readiness(event_id=event.pk, **PIT_BY)
    while state_of(event).stage is not Stage.FINISHED:
        play(event)
        state = state_of(event)
        if state.trials_proposal is not None:
            actions.confirm_trials(event_id=event.pk, **PIT_BY)
        elif state.cut_proposal is not None:
            actions.take_cut(event_id=event.pk, **PIT_BY)
        elif state.order_proposal is not None:
            actions.call_order(event_id=event.pk, **PIT_BY)
    return event


def gap(phone, event):
    phone.jump(event, "1", 1, 400)
    says(phone, max_seq=1)


def unsent(phone, event):
    says(phone, unsent=2, max_seq=0)


WRONG = {
    "a gap": (gap, "Phone 1 (R. Corder): entry 1 has not come."),
    "something to send": (unsent, "Phone 1 (R. Corder) said that it has 2 entries to send."),
    "an entry that waits": (waits, "1 entry waits to be looked at."),
    "a clash": (clashes, "1 entry of phone 1 was set aside: it clashes with another."),
}


@pytest.mark.parametrize("what", WRONG)
def test_the_desk_closes_with_a_reason_only(desk_client, played, phone, what):
    make, sentence = WRONG[what]
    make(phone, played)
    address = reverse("desk:decide", args=[played.meet.slug, played.pk, "close"])
    page = desk_client.get(address)
    assert sentence in page.text
    seen = page.context["form"]["seen"].value()
    assert desk_client.post(address, {"seen": seen}).status_code == 422
    assert not played.log.filter(kind="closed").exists()
    assert desk_client.post(address, {"seen": seen, "reason": REASON}).status_code == 302
    assert played.log.get(kind="closed").reason == REASON


def test_what_came_to_light_since_the_page_was_opened_is_looked_at_first(desk_client, played, phone):
    address = reverse("desk:decide", args=[played.meet.slug, played.pk, "close"])
    seen = desk_client.get(address).context["form"]["seen"].value()
    gap(phone, played)
    page = desk_client.post(address, {"seen": seen, "reason": "all is well"})
    assert page.status_code == 422
    assert "entry 1 has not come" in page.text
    assert not played.log.filter(kind="closed").exists()


@pytest.mark.parametrize(
    ("stopped", "since"),
    [("2027-06-12T12:10Z", "12:30"), ("2027-06-12T23:10Z", "12 June, 23:30")],
    indirect=["stopped"],
)
def test_a_phone_that_is_silent_is_named_and_no_reason_is_needed(stopped, desk_client, played, phone, session, since):
    says(phone, ago=timedelta(minutes=40))
    sentence = f"Phone 1 (recorder, R. Corder) has not been heard from since {since}; it may still hold trials."
    address = reverse("desk:decide", args=[played.meet.slug, played.pk, "close"])
    page = desk_client.get(address)
    assert sentence in page.text
    desk_client.post(reverse("pit:writer"), {"name": "Ms Amblewright"})
    at_pit = AtPit(desk_client, session, played).page("decide", played.pk).text
    assert sentence in at_pit
    assert "Everything that the phone wrote" not in at_pit
    assert desk_client.post(address, {"seen": page.context["form"]["seen"].value()}).status_code == 302


def test_a_display_that_is_silent_holds_nothing(desk_client, played, phone):
    phone.device.key.roles = ["display"]
    phone.device.key.save()
    says(phone, ago=timedelta(minutes=40))
    page = desk_client.get(reverse("desk:decide", args=[played.meet.slug, played.pk, "close"]))
    assert "heard from" not in page.text


def test_with_everything_here_no_reason_is_asked(desk_client, played, phone):
    says(phone)
    address = reverse("desk:decide", args=[played.meet.slug, played.pk, "close"])
    page = desk_client.get(address)
    assert "Not everything" not in page.text
    assert "heard from" not in page.text
    assert desk_client.post(address, {"seen": page.context["form"]["seen"].value()}).status_code == 302
    assert played.log.get(kind="closed").reason == ""


@pytest.mark.parametrize("what", WRONG)
def test_at_the_pit_as_well(desk_client, played, phone, session, what):
    make, sentence = WRONG[what]
    make(phone, played)
    desk_client.post(reverse("pit:writer"), {"name": "Ms Amblewright"})
    pit = AtPit(desk_client, session, played)
    page = pit.page("decide", played.pk)
    assert sentence in page.text
    said = {"do": "close", "version": pit.state.version, "referee": "Mr Referton"}
    refused = pit.send("decide", played.pk, **said)
    assert refused.status_code == 422
    assert sentence in refused.text
    assert pit.send("decide", played.pk, **said, reason=REASON).status_code == 302
    row = played.log.get(kind="closed")
    assert (row.by, row.reason) == ("Mr Referton", REASON)


def test_the_pit_page_says_that_all_is_here(desk_client, played, phone, session):
    says(phone)
    desk_client.post(reverse("pit:writer"), {"name": "Ms Amblewright"})
    page = AtPit(desk_client, session, played).page("decide", played.pk)
    assert "Everything that the phone wrote down for it is here." in page.text


def test_without_phones_nothing_is_said_of_them(desk_client, played, session):
    desk_client.post(reverse("pit:writer"), {"name": "Ms Amblewright"})
    assert "phone" not in AtPit(desk_client, session, played).page("decide", played.pk).text


def test_a_reason_of_blanks_is_none(played, phone):
    gap(phone, played)
    with pytest.raises(Refusal, match="entry 1 has not come"):
        close(event_id=played.pk, by="Organiser", recorder=DESK, now=NOW, reason="  ")


# A clash leaves two values that differ: that is said before anything else.
@pytest.mark.parametrize("what", sorted(WRONG.keys() - {"a clash"}))
def test_what_phones_hold_keeps_a_result_from_being_official_until_somebody_closes_with_a_reason(played, phone, what):
    make, sentence = WRONG[what]
    make(phone, played)
    posted = {"event": played, "by": "Desk", "now": NOW}
    publish(status="provisional", **posted)
    with pytest.raises(Refusal) as refused:
        publish(status="official", referee="R. Feree", **posted)
    assert (
        str(refused.value)
        == f"{sentence} The result can be official once that is here, or the event is closed with a reason."
    )
    actions.close(event_id=played.pk, reason=REASON, **PIT_BY)
    assert publish(status="official", referee="R. Feree", **posted).version == 2
