"""Packs made, put in line for mailing, and what people decide about letters that may or may not have arrived."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from athletes.models import School
from meets.models import Mailing, Meet, SchoolPack
from meets.publishing.canonical import canonical, sha256_of
from meets.publishing.document import in_utc
from meets.publishing.packs.build import Drawing
from meets.publishing.packs.content import Sources, compared, content_in, content_of, schools_in
from meets.publishing.packs.differences import changes_in_pack
from meets.publishing.packs.letter import message_id_of
from meets.publishing.packs.reads import STALE, Before, packs_before
from meets.publishing.packs.sources import sources_of
from meets.running.refusals import Refusal

Progress = Callable[[int, int], None]
State = Mailing.State
NOT_GIVEN = (State.WAITING, State.FAILED, State.NO_ADDRESS)


@dataclass(frozen=True, slots=True)
class Made:
    """What came of making packs: new versions, and how many schools have theirs as it was."""

    new: tuple[SchoolPack, ...]
    unchanged: int


def make_packs(*, meet: Meet, now: datetime, base: str = "", progress: Progress | None = None) -> Made:
    """A new version for every school of whose pack anything has changed.

    Drawing takes seconds and is done before anything is written, so that nobody at a pit waits for it. Two who make
    packs at once make each version once.
    """
    sources = sources_of(meet)
    schools, before = schools_in(sources), packs_before(meet)
    drawing = Drawing(meet, sources.documents, base)
    new = []
    for done, school in enumerate(schools, 1):
        pack = (
            _next_version(school, before.get(school.pk, Before()), sources, drawing, now) if sources.results else None
        )
        if pack is not None and _stored(pack):
            new.append(pack)
        if progress:
            progress(done, len(schools))
    return Made(tuple(new), len(schools) - len(new))


def _next_version(
    school: School, before: Before, sources: Sources, drawing: Drawing, now: datetime
) -> SchoolPack | None:
    """Not stored yet; None if nothing has changed."""
    content = content_of(school, sources)
    if before.latest is not None and content_in(before.latest) == content:
        return None
    # A school without an address is given its pack on paper.
    compared_with = before.given or (None if school.contact_email else before.latest)
    document = {
        **content,
        "version": before.latest["version"] + 1 if before.latest else 1,
        "made_at": in_utc(now),
        "since": compared_with["version"] if compared_with else None,
        "changes": changes_in_pack(compared_with, content),
    }
    text = canonical(document)
    return SchoolPack(
        meet=sources.meet,
        school=school,
        version=document["version"],
        document=text,
        sha256=sha256_of(text),
        pdf=drawing.pdf(document),
        csv=drawing.csv(document),
        changes=document["changes"],
        at=now,
    )


def _stored(pack: SchoolPack) -> bool:
    """False if somebody else has stored this version in the meantime."""
    try:
        with transaction.atomic():
            pack.save(force_insert=True)
    except IntegrityError:
        return False
    return True


@dataclass(frozen=True, slots=True)
class InLine:
    """What was put in line: to be sent, without an address, and schools that have what their pack says already."""

    waiting: int
    no_address: int
    have_it: int


@transaction.atomic
def put_in_line(*, meet: Meet, now: datetime, failed_too: bool = True) -> InLine:
    """The newest pack of every school that was not told of it yet, and whatever failed before.

    An older pack that was not sent is overtaken by the newer one. Nothing that may have arrived is put in line again.
    """
    give_up_stale(meet=meet, now=now)
    counted = {State.WAITING: 0, State.NO_ADDRESS: 0, "": 0}
    for before in packs_before(meet).values():
        pack = before.latest_row
        older = Mailing.objects.filter(pack__meet=meet, pack__school=pack.school, pack__version__lt=pack.version)
        older.filter(state__in=NOT_GIVEN).update(state=State.OVERTAKEN)
        if before.given is not None and compared(before.given) == compared(before.latest):
            counted[""] += 1
            continue
        counted[_in_line(pack, now, failed_too)] += 1
    return InLine(counted[State.WAITING], counted[State.NO_ADDRESS], counted[""])


def _in_line(pack: SchoolPack, now: datetime, failed_too: bool) -> str:
    """The state of the letter with this pack, '' if it needs none."""
    address = pack.school.contact_email
    wanted = State.WAITING if address else State.NO_ADDRESS
    own = pack.mailings.order_by("-pk").first()
    if own is None:
        new = {"state": wanted, "message_id": message_id_of(pack, address), "made_at": now}
        Mailing.objects.get_or_create(pack=pack, address=address, defaults=new)
        return wanted
    movable = [State.WAITING, State.NO_ADDRESS, *([State.FAILED] if failed_too else [])]
    moved = Mailing.objects.filter(pk=own.pk, state__in=movable).update(state=wanted, address=address)
    return wanted if moved else ""


def give_up_stale(*, meet: Meet, now: datetime) -> int:
    """Letters that somebody was sending when the program broke off: nobody knows whether they arrived."""
    stale = Mailing.objects.filter(pack__meet=meet, state=State.SENDING, tried_at__lt=now - STALE)
    return stale.update(state=State.UNSURE, outcome=_("The program broke off while it was being sent."))


def send_again(*, mailing: Mailing, now: datetime) -> Mailing:
    """Put a letter in line once more because somebody asks for it; to the school's new address if it has one.

    Refused while it is being sent, and for a pack that is not the newest.
    """
    pack = mailing.pack
    give_up_stale(meet=pack.meet, now=now)
    if SchoolPack.objects.filter(meet=pack.meet, school=pack.school, version__gt=pack.version).exists():
        raise Refusal(_("There is a newer pack of this school. Send that one."))
    address = pack.school.contact_email
    if not address:
        raise Refusal(_("This school has no address. Give it one under Schools, or print the pack."))
    if address != mailing.address and mailing.state not in NOT_GIVEN:
        other, _new = Mailing.objects.get_or_create(
            pack=pack, address=address, defaults={"message_id": message_id_of(pack, address), "made_at": now}
        )
        mailing = other
    again = Mailing.objects.filter(pk=mailing.pk, tries=mailing.tries).exclude(state=State.SENDING)
    if not again.update(state=State.WAITING, address=address):
        raise Refusal(_("Somebody else is sending it just now."))
    mailing.refresh_from_db()
    return mailing


def has_arrived(*, mailing: Mailing, by: str, now: datetime) -> None:
    """The organiser has heard from the school that a letter is there."""
    give_up_stale(meet=mailing.pack.meet, now=now)
    says = (_("It is there: %(who)s has asked the school.") % {"who": by})[:300]
    unsure = Mailing.objects.filter(pk=mailing.pk, state=State.UNSURE)
    if not unsure.update(state=State.SENT, outcome=says, sent_at=now):
        raise Refusal(_("Nobody needs to know: how this letter stands is clear."))
