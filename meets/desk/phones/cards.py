"""Codes that have just been made, as cards on the screen and on paper. Their secrets are known only now.

ReportLab is heavy, so what draws is imported when the first code is shown.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils.translation import gettext as _

from meets.desk.phones.address import Base
from meets.desk.phones.words import pit_said, roles_said
from meets.models import Meet, PitKey
from meets.pit.keys.actions import Made, hash_of
from meets.pit.keys.reads import DAYS_TO_COME_IN
from meets.sheets.documents import About, CodeCard, CodeSheet
from meets.sheets.wording import full_date, printed_at


@dataclass(frozen=True, slots=True)
class ScreenCard:
    """A code on the screen: `path` in a square of `units`."""

    card: CodeCard
    units: int
    path: str


def cards_of(made: Sequence[Made], base: Base) -> list[CodeCard]:
    """Wants keys with session and pit, or event."""
    return [
        CodeCard(
            address=base.with_key(one.secret),
            page=base.page,
            typed=in_fours(one.secret),
            roles=_capital(roles_said(one.key.roles)),
            pit=pit_said(one.key.session) if one.key.session else _("At every pit of"),
            session=one.key.session.name if one.key.session else one.key.event.name,
        )
        for one in made
    ]


def in_fours(secret: str) -> str:
    """As people read and type it; a phone leaves the blanks out."""
    return " ".join(secret[at : at + 4] for at in range(0, len(secret), 4))


def on_screen(cards: Sequence[CodeCard]) -> list[ScreenCard]:
    from athletes.paper.qr import qr_path

    return [ScreenCard(card, *qr_path(card.address)) for card in cards]


def on_paper(meet: Meet, cards: Sequence[CodeCard], now: datetime) -> bytes:
    """The cards as a PDF."""
    from meets.sheets.keys import codes_pdf

    return codes_pdf(_sheet(meet, cards, now))


def _sheet(meet: Meet, cards: Sequence[CodeCard], now: datetime) -> CodeSheet:
    about = About(
        meet="", event=meet.name, date=full_date(meet.date), printed=printed_at(now, meet.time_zone), paper=meet.paper
    )
    return CodeSheet(about, full_date(meet.date + timedelta(days=DAYS_TO_COME_IN)), tuple(cards))


def made_with(meet: Meet, secrets: Iterable[str]) -> list[Made]:
    """The keys of this meet that these secrets open, in their order; others are left out."""
    by_hash = {hash_of(secret): secret for secret in ("".join(typed.split()) for typed in secrets)}
    keys = PitKey.objects.filter(meet=meet, hash__in=by_hash).select_related("session__pit", "event")
    found = {key.hash: key for key in keys}
    return [Made(found[hash], secret) for hash, secret in by_hash.items() if hash in found]


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
