"""What the pages of packs show."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from athletes.models import School
from meets.models import Event, Mailing, Meet, SchoolPack
from meets.publishing.packs.reads import Letter, Since, letters_of, since_packs, state_now
from meets.publishing.reads import newest_of_events
from meets.running.times import moment_said

State = Mailing.State


@dataclass(frozen=True, slots=True)
class PacksPage:
    """`lines` one for each school; `waiting` letters in line, `failed` and `unsure` those that need somebody."""

    lines: Sequence[Letter]
    published: int
    events: int
    mail_folder: str
    since: Since

    def _many(self, *states: str) -> int:
        return sum(line.state in states for line in self.lines)

    @property
    def waiting(self) -> int:
        return self._many(State.WAITING)

    @property
    def failed(self) -> int:
        return self._many(State.FAILED)

    @property
    def unsure(self) -> int:
        return self._many(State.UNSURE)

    @property
    def without_address(self) -> list[Letter]:
        return [line for line in self.lines if not line.contact]


def packs_page(meet: Meet, now: datetime) -> PacksPage:
    through_files = settings.EMAIL_BACKEND.endswith("mail_files.EmailBackend")
    published = newest_of_events(meet).count()
    return PacksPage(
        lines=letters_of(meet, now),
        published=published,
        events=meet.events.count(),
        since=since_packs(meet) if published else Since(),
        mail_folder=Path(settings.EMAIL_FILE_PATH).name if through_files else "",
    )


def state_words(line: Letter) -> str:
    """How the letter to a school stands, as the desk says it."""
    if not line.state:
        return _("sent before: nothing new for this school") if line.has else _("not sent yet")
    words = str(State(line.state).label)
    tries = line.mailing.tries if line.mailing else 0
    if line.state == State.FAILED and tries > 1:
        words += " " + ngettext("(%(tries)d try)", "(%(tries)d tries)", tries) % {"tries": tries}
    return words


def is_with_the_school(mailing: Mailing, now: datetime) -> bool:
    """Whether a letter has arrived, or may have: another one is sent only to who was asked."""
    return state_now(mailing, now) in (State.SENT, State.UNSURE)


def again_words(mailing: Mailing, now: datetime) -> str:
    """What happened to a letter that is to be sent once more, and where it goes now."""
    state, school = state_now(mailing, now), mailing.pack.school
    at = mailing.sent_at or mailing.tried_at or mailing.made_at
    about = {"address": mailing.address, "time": moment_said(at, now, mailing.pack.meet.time_zone)}
    if state == State.SENT:
        says = _("A letter went to %(address)s at %(time)s. Send another one?") % about
    elif state == State.UNSURE:
        says = _("A letter may have arrived at %(address)s: it was sent at %(time)s. Send another one?") % about
    else:
        says = _("No letter with this pack has arrived at %(address)s. Send it?") % about
    if school.contact_email in ("", mailing.address):
        return says
    return " ".join((says, _("It goes to the new address, %(address)s.") % {"address": school.contact_email}))


def packs_in(meet: Meet) -> QuerySet[SchoolPack]:
    return SchoolPack.objects.filter(meet=meet).select_related("school", "meet")


def letters_in(meet: Meet) -> QuerySet[Mailing]:
    return Mailing.objects.filter(pack__meet=meet).select_related("pack__meet", "pack__school")


def events_published(meet: Meet) -> QuerySet[Event]:
    return meet.events.filter(publications__isnull=False).distinct()


def schools_entered(meet: Meet) -> QuerySet[School]:
    return School.objects.filter(athletes__entries__event__meet=meet).distinct()
