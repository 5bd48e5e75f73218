"""Letters sent, each by one sender only, and their outcomes kept.

A letter is claimed in a transaction that is over before anything is sent. Whoever breaks off while sending leaves it
as being sent; after a time it is unsure, and never sent again by itself.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.db.models import Exists, F, OuterRef

from meets.models import Mailing, Meet, SchoolPack
from meets.publishing.packs.actions import give_up_stale
from meets.publishing.packs.build import results_address
from meets.publishing.packs.letter import LONGEST_OUTCOME, Outcome, deliver

State = Mailing.State
Clock = Callable[[], datetime]


@dataclass(frozen=True, slots=True)
class Tried:
    """A letter that was tried and what came of it."""

    mailing: Mailing
    outcome: Outcome


def send_waiting(
    *, meet: Meet, clock: Clock, base: str = "", failed_too: bool = False, go_on: Callable[[], bool] = lambda: True
) -> Iterator[Tried]:
    """Send what is in line, one after another, each once; the caller may stop between two.

    Ends when the mail server is not there: what is left stays in line.
    """
    give_up_stale(meet=meet, now=clock())
    states = [State.WAITING, *([State.FAILED] if failed_too else [])]
    found = Mailing.objects.filter(pack__meet=meet, state__in=states).order_by("tries", "pk").values_list("pk", "tries")
    for pk, tries in list(found):
        if not go_on():
            return
        tried = send_one(pk=pk, tries=tries, clock=clock, base=base)
        if tried is not None:
            yield tried
            if tried.outcome.no_server:
                return


def send_one(*, pk: int, tries: int, clock: Clock, base: str = "") -> Tried | None:
    """Try one letter; None if somebody else has it or it is no longer to be sent.

    A pack that has a newer version is not sent: that version says what changed since the one which the school has.
    """
    with transaction.atomic(durable=True):
        if _overtaken(pk, tries):
            return None
        mine = Mailing.objects.filter(pk=pk, tries=tries, state__in=[State.WAITING, State.FAILED])
        if not mine.update(state=State.SENDING, tries=F("tries") + 1, tried_at=clock(), outcome=""):
            return None
        mailing = Mailing.objects.select_related("pack__meet", "pack__school").get(pk=pk)
    meet = mailing.pack.meet
    outcome = deliver(mailing, results_address(meet, base))
    _keep(mailing, outcome, clock())
    return Tried(mailing, outcome)


def _overtaken(pk: int, tries: int) -> bool:
    newer = SchoolPack.objects.filter(
        meet=OuterRef("pack__meet"), school=OuterRef("pack__school"), version__gt=OuterRef("pack__version")
    )
    mine = Mailing.objects.filter(Exists(newer), pk=pk, tries=tries, state__in=[State.WAITING, State.FAILED])
    return bool(mine.update(state=State.OVERTAKEN))


def _keep(mailing: Mailing, outcome: Outcome, now: datetime) -> None:
    """What came of this try; also where the letter was given up as unsure meanwhile, as now it is known."""
    states = [State.SENDING, State.UNSURE]
    if outcome.state == State.SENT:
        # Somebody asked for it to be sent again while it was on its way: it has arrived, so it is not.
        states.append(State.WAITING)
    same_try = Mailing.objects.filter(pk=mailing.pk, tries=mailing.tries, state__in=states)
    changed = {"state": outcome.state, "outcome": outcome.says[:LONGEST_OUTCOME]}
    if outcome.state == State.SENT:
        changed["sent_at"] = now
    with transaction.atomic(durable=True):
        same_try.update(**changed)
