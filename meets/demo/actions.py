"""Builds the demonstration: a district meet that has been played, and a practice afternoon that has only been drawn."""

import logging
import secrets
import string
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from random import Random

from django.contrib.auth import get_user_model
from django.db import transaction

from athletes.models import School
from athletes.reading.opening import read_table
from meets.demo.day import OFFICIALS, Day, sessions_of, trials_expected
from meets.demo.people import SCHOOLS, WITHOUT_ADDRESS, entry_file
from meets.demo.programme import LONG_JUMP_PRACTICE, TRIPLE_JUMP_PRACTICE, make_practice, make_programme
from meets.demo.records import add_records
from meets.entries.actions import add_schools, assign_bibs, change_entry, import_entries
from meets.entries.checking import check_table
from meets.entries.outcome import NewSchool
from meets.models import Entry, Meet, Role
from meets.pit.keys.actions import Wanted, close_key, make_keys
from meets.pit.keys.reads import comes_in_until
from meets.running import actions as running
from meets.sheets.actions import write_sheets
from scoring.age_schemes import scheme
from scoring.ages import deciding_date

DISTRICT, PRACTICE = "district-jumps", "practice-afternoon"
ACCOUNT, DEMO = "organiser", "demo"
LETTERS = string.ascii_lowercase + string.digits
PRACTICE_SCHOOLS = 5

Step = Callable[[int], None]
"""Called with how many trials more have been recorded."""

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Built:
    """What the demonstration made; paths and counts for whoever prints them."""

    meet: Meet
    practice: Meet
    seed: int
    entry_file: Path
    entries: int
    trials: int


def build(*, seed: int, on: date, out_dir: Path, now: datetime, start: Callable[[int], Step]) -> Built:
    """Make both meets. `start` is told how many trials are to come and answers with the step of a progress bar."""
    rng = Random(seed)
    with transaction.atomic():
        meet = make_programme(slug=_free_slug(DISTRICT), name="Harrowdown district jumps", on=on)
        ages_on = meet.age_date or deciding_date(scheme(meet.age_scheme), on)
        text = entry_file(rng, ages_on)
        path = out_dir / meet.slug / "entries.csv"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
        stored = _import(meet, path, now)
    day = Day(meet, rng, now)
    day.draw_all()
    step = start(trials_expected(meet))
    for session in sessions_of(meet):
        day.now = session.starts_at
        day.play(session, lambda: step(1))
    add_records(meet, day.now)
    practice = _practice(rng, on, text, now)
    return Built(meet, practice, seed, path, stored, day.recorded)


def _import(meet: Meet, path: Path, now: datetime) -> int:
    """The schools and their entry file, as the organiser would bring them in; one athlete jumps as a guest."""
    by = OFFICIALS[1]
    add_schools(schools=[NewSchool(code, name) for code, name in SCHOOLS.items()], by=by, now=now)
    _give_addresses()
    checked = check_table(read_table(path.name, path.read_bytes()), meet, now=now)
    stored = import_entries(meet=meet, checked=checked, accept_warnings=True, by=by, now=now).stored
    guest = Entry.objects.filter(event__meet=meet, event__category="girls", event__discipline="LJ").last()
    change_entry(entry=guest, changes={"guest": True}, by=by, now=now)
    assign_bibs(meet=meet)
    return stored


def _give_addresses() -> None:
    """Where packs are mailed to. One school has given none: its pack is printed."""
    for school in School.objects.filter(code__in=SCHOOLS).exclude(code=WITHOUT_ADDRESS):
        school.contact_email = f"jumps@{school.code.lower()}.example.org"
        school.save(update_fields=["contact_email"])


@transaction.atomic
def _practice(rng: Random, on: date, text: str, now: datetime) -> Meet:
    """Two small events, drawn and ready: to try the recording page and the paper grid on."""
    meet = make_practice(slug=_free_slug(PRACTICE), name="Harrowdown practice afternoon", on=on)
    few = tuple(SCHOOLS)[:PRACTICE_SCHOOLS]
    wanted = {LONG_JUMP_PRACTICE, TRIPLE_JUMP_PRACTICE}
    heading, *lines = text.splitlines()
    chosen = [line for line in lines if line[:3] in few and any(f",{name}," in line for name in wanted)]
    table = read_table("practice.csv", "\n".join([heading, *chosen]).encode())
    checked = check_table(table, meet, now=now)
    import_entries(meet=meet, checked=checked, accept_warnings=True, by=OFFICIALS[1], now=now)
    assign_bibs(meet=meet)
    for event in meet.events.all():
        seed = rng.randrange(running.LARGEST_SEED)
        running.draw(event_id=event.pk, seed=seed, by=OFFICIALS[1], recorder=running.DESK, now=now)
    return meet


def _free_slug(wanted: str) -> str:
    taken = set(Meet.objects.filter(slug__startswith=wanted).values_list("slug", flat=True))
    numbered = (f"{wanted}-{number}" for number in range(2, len(taken) + 3))
    return next(slug for slug in (wanted, *numbered) if slug not in taken)


def ready_account() -> str:
    """The organiser's account with a new random password, which is answered and kept nowhere else."""
    password = "-".join("".join(secrets.choice(LETTERS) for _ in range(4)) for _ in range(3))
    user, _made = get_user_model().objects.get_or_create(username=ACCOUNT)
    user.set_password(password)
    user.save()
    return password


def practice_key(now: datetime) -> str | None:
    """What the code of a phone holds for the first session of the practice afternoon; None if its day is over.

    A secret is told once, so each start makes a new one; the code of the start before lets nobody in any more.
    """
    practice = Meet.objects.filter(slug__startswith=PRACTICE).order_by("-pk").first()
    if practice is None or now >= comes_in_until(practice):
        return None
    for key in practice.pit_keys.filter(made_by=DEMO):
        close_key(key=key)
    wanted = Wanted(next(sessions_of(practice)), (Role.RECORDER, Role.REFEREE))
    [made] = make_keys(meet=practice, wanted=[wanted], by=DEMO, now=now)
    return made.secret


def sheets(*, meet: Meet, out_dir: Path, now: datetime, progress: Callable[[int, int], None]) -> list[Path]:
    """Every sheet of the meet, as on the evening of its day."""
    evening = max(session.starts_at for session in sessions_of(meet)) + timedelta(hours=2)
    return write_sheets(meet=meet, out_dir=out_dir, now=max(now, evening), progress=progress)
