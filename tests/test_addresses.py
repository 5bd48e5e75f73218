"""Every address of the product: what anonymous people and the organiser get, and that looking changes nothing.

A new address is put into `ADDRESSES` with its kind; a new kind of part in an address into `EVERY` or the fixture
`parts`.
"""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from itertools import product
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import URLPattern, get_resolver, reverse

from meets.desk.decide.views import DECISIONS
from meets.desk.help_views import TEMPLATES as HELP_PAGES
from meets.models import Event, LogRow, Meet, Penalty
from meets.running import states
from meets.sheets.printing import KINDS
from scoring.facts import CutTaken, Jumped
from scoring.log import Row
from scoring.rulesets import rule_set
from scoring.state import StartLine
from tests.build import played
from tests.factories import (
    START,
    TYPED,
    DeliveryFactory,
    DeviceFactory,
    EntryFactory,
    EventFactory,
    LogRowFactory,
    MailingFactory,
    MeetFactory,
    PenaltyFactory,
    PitFactory,
    PitKeyFactory,
    PitSessionFactory,
    RecordClaimFactory,
    RecordFactory,
    SchoolFactory,
    SessionPartFactory,
    SetAsideFactory,
    StandardFactory,
    StreamFactory,
    TypedSheetFactory,
)
from tests.meets.publishing.documents import document, published, published_standings
from tests.meets.publishing.packs.days import a_pack

PUBLIC, PART, DOOR, PAGE, FILE, CHANGE, MOVE = "public", "part", "door", "page", "file", "change", "move"
PHONES = "phones"
# What everybody sees of a meet that is shown to the public; of any other there is nothing, as if it did not exist.
SHOWN, SHOWN_FILE = "shown", "shown file"
ADDRESSES = {
    "home": MOVE,
    "desk:meets": PAGE,
    "desk:new_meet": PAGE,
    "desk:sign_in": DOOR,
    "desk:sign_out": CHANGE,
    "desk:meet": PAGE,
    "desk:settings": PAGE,
    "desk:change_meet": PAGE,
    "desk:remove_meet": PAGE,
    "desk:take_back_penalty": PAGE,
    "desk:rules": PAGE,
    "desk:public": PAGE,
    "desk:public_code": FILE,
    "desk:schools": PAGE,
    "desk:new_school": PAGE,
    "desk:school": PAGE,
    "desk:pits": PAGE,
    "desk:new_pit": PAGE,
    "desk:pit": PAGE,
    "desk:new_session": PAGE,
    "desk:a_session_each": CHANGE,
    "desk:session": PAGE,
    "desk:remove_session": CHANGE,
    "desk:programme": PAGE,
    "desk:add_events": PAGE,
    "desk:phones": PAGE,
    "desk:phone": PAGE,
    "desk:codes": PAGE,
    "desk:print_codes": CHANGE,
    "desk:code": PAGE,
    "desk:waiting": PAGE,
    "desk:settle_waiting": CHANGE,
    "desk:settle_aside": CHANGE,
    "desk:outbox": PAGE,
    "desk:standings": PAGE,
    "desk:records": PAGE,
    "desk:renew_claims": CHANGE,
    "desk:claim": PAGE,
    "desk:claim_form": FILE,
    "desk:new_record_book": PAGE,
    "desk:use_record_book": CHANGE,
    "desk:record_book": PAGE,
    "desk:change_record_book": PAGE,
    "desk:new_record": PAGE,
    "desk:take_out_record": PAGE,
    "desk:standards": PAGE,
    "desk:standards_file": PAGE,
    "desk:next_meet": PAGE,
    "desk:forget_next_meet": CHANGE,
    "desk:event": PAGE,
    "desk:check_in": PAGE,
    "desk:draw": PAGE,
    "desk:cut": PAGE,
    "desk:winds": PAGE,
    "desk:log": PAGE,
    "desk:athlete": PAGE,
    "desk:turn": PAGE,
    "desk:decide": PAGE,
    "desk:event_settings": PAGE,
    "desk:event_rules": PAGE,
    "desk:remove_event": CHANGE,
    "entries:list": PAGE,
    "entries:new": PAGE,
    "entries:bibs": CHANGE,
    "entries:entry": PAGE,
    "entries:withdraw": CHANGE,
    "entries:restore": CHANGE,
    "entries:upload": PAGE,
    "entries:empty_file": FILE,
    "entries:check": PAGE,
    "entries:accept": CHANGE,
    "entries:schools": CHANGE,
    "entries:forget": CHANGE,
    "entries:problems": FILE,
    "entries:stored": PAGE,
    "pit:sessions": PAGE,
    "pit:writer": PAGE,
    "pit:phone": PUBLIC,
    "pit:worker": PART,
    "pit:manifest": PART,
    "pit:session": PAGE,
    "pit:record": CHANGE,
    "pit:everybody": PAGE,
    "pit:athlete": PAGE,
    "pit:trial": PAGE,
    "pit:ready": PAGE,
    "pit:stop": PAGE,
    "pit:winds": PAGE,
    "pit:decide": PAGE,
    "pit:course": PAGE,
    "pit:places": PAGE,
    "grid:list": PAGE,
    "grid:event": PAGE,
    "grid:sheet": PAGE,
    "grid:again": PAGE,
    "grid:change": PAGE,
    "grid:settle": CHANGE,
    "grid:store": CHANGE,
    "grid:discard": CHANGE,
    "packs:list": PAGE,
    "packs:make": CHANGE,
    "packs:send": CHANGE,
    "packs:letter": CHANGE,
    "packs:again": PAGE,
    "packs:print_all": FILE,
    "packs:pdf": FILE,
    "packs:csv": FILE,
    "packs:medals": PAGE,
    "packs:medals_sheet": FILE,
    "packs:certificates": PAGE,
    "packs:certificates_file": FILE,
    "packs:labels_file": FILE,
    "sheets:list": PAGE,
    "sheets:standings": FILE,
    "sheets:csv": FILE,
    "sheets:sheet": FILE,
    "sync:join": PHONES,
    "sync:push": PHONES,
    "sync:contact": PHONES,
    "sync:openapi": PHONES,
    "phone:state": PHONES,
    "phone:clock": PHONES,
    "board:meet": SHOWN,
    "board:event": SHOWN,
    "board:screen": SHOWN,
    "board:announcer": SHOWN,
    "publishing:meet": PAGE,
    "publishing:event": PAGE,
    "publishing:all": CHANGE,
    "publishing:step": CHANGE,
    "publishing:teams": CHANGE,
    "results:meet": SHOWN,
    "results:event": SHOWN,
    "results:version": SHOWN,
    "results:versions": SHOWN,
    "results:file": SHOWN_FILE,
    "results:version_file": SHOWN_FILE,
    "results:teams": SHOWN,
    "results:teams_version": SHOWN,
    "results:teams_versions": SHOWN,
    "results:teams_file": SHOWN_FILE,
    "results:teams_version_file": SHOWN_FILE,
    "results:schema": PART,
    "help:index": PUBLIC,
    "help:page": PUBLIC,
}
ORGANISER_GETS = {
    PUBLIC: 200,
    SHOWN: 200,
    SHOWN_FILE: 200,
    PART: 200,
    DOOR: 302,
    PAGE: 200,
    FILE: 200,
    CHANGE: 405,
    MOVE: 302,
}
NOT_BEFORE_A_TRIAL = {"desk:turn"}
# An uploaded file that is no longer there sends back to the upload.
NOT_THERE = (302, 404, 405)

# Parts of addresses that are words from a list: all of them are looked at.
EVERY = {
    "kind": list(KINDS),
    "decision": list(DECISIONS),
    "name": list(HELP_PAGES),
    "ending": ["pdf", "csv", "json"],
    "document": ["result", "standings"],
}
RULES = rule_set("international").with_changes({"cuts": ((3, 2),)})
BORN = {"U13": 2015, "U15": 2013, "U17": 2011, "U20": 2009}
STAGES = ("nothing recorded", "in round 1", "cut due", "finished")


def addresses(patterns=None, namespace: str = "") -> Iterator[tuple[str, tuple[str, ...]]]:
    """Name and parts of every address."""
    for pattern in get_resolver().url_patterns if patterns is None else patterns:
        if isinstance(pattern, URLPattern):
            yield f"{namespace}{pattern.name}", tuple(pattern.pattern.converters)
        else:
            inside = f"{namespace}{pattern.namespace}:" if pattern.namespace else namespace
            for name, parts in addresses(pattern.url_patterns, inside):
                yield name, (*pattern.pattern.converters, *parts)


PARTS = dict(addresses())
# Talked to by phones with a token of their own, in another form than pages; each way of asking is looked at apart.
OF_PHONES = [name for name in PARTS if ADDRESSES.get(name) == PHONES]


def stages_of(name: str) -> tuple[str, ...]:
    """The stages of an event at which an address is looked at: all four where it is about what happens there."""
    if not {"event_id", "session_id"} & set(PARTS[name]):
        return STAGES[-1:]
    return (STAGES[0], STAGES[-1]) if set(EVERY) & set(PARTS[name]) else STAGES


PLACES = [
    pytest.param(name, dict(zip(words, chosen, strict=True)), stage, stage, id="-".join((name, *chosen, stage)))
    for name, parts in PARTS.items()
    if name not in OF_PHONES
    for words in [[part for part in parts if part in EVERY]]
    for chosen in product(*(EVERY[part] for part in words))
    for stage in stages_of(name)
]
FIRST = {part: choices[0] for part, choices in EVERY.items()}


@contextmanager
def nothing_is_written():
    """Every statement that is more than a look is refused."""

    def refuse(execute, sql, params, many, context):
        assert sql.lstrip().upper().startswith(("SELECT", "SAVEPOINT", "RELEASE", "ROLLBACK")), f"wrote: {sql}"
        return execute(sql, params, many, context)

    with connection.execute_wrapper(refuse):
        yield


@cache
def whole_event(keys: tuple[str, ...]) -> list[Row]:
    """Its rows. Played once where the database gives the same keys to every test."""
    return played([StartLine(key, key) for key in keys], (keys,), RULES)


def rows_at(stage: str, rows):
    """The rows of a whole event as far as a stage."""
    cut = next(i for i, row in enumerate(rows) if isinstance(row.fact, CutTaken))
    second = [i for i, row in enumerate(rows) if isinstance(row.fact, Jumped)][2]
    return rows[: dict(zip(STAGES, (0, second, cut, len(rows)), strict=True))[stage]]


def a_meet(*, events: int = 1, entries: int = 3, stage: str = "finished") -> dict[str, object]:
    """A meet with one or more of everything, and what to put into the parts of an address."""
    meet = MeetFactory()
    published_standings(meet)
    for _ in range(events):
        event = EventFactory(meet=meet, rule_changes={"cuts": "3:2"})
        entered = EntryFactory.create_batch(entries, event=event)
        session = PitSessionFactory(pit=PitFactory(meet=meet))
        SessionPartFactory(event=event, session=session)
        typed = {**TYPED, "boxes": {entered[0].bib: {"1": ["5.43", "+1.4"]}}, "lines": {"1": [entered[0].bib]}}
        TypedSheetFactory(event=event, cells={"flight": 0, "later_lines": 0, "first": typed})
        agreed = {"flight": 0, "later_lines": 0, "first": typed, "second": typed, "agreed": typed}
        sheet = TypedSheetFactory(event=event, cells=agreed, checked_by="R. Corder", checked_at=START)
        published(event)
        PenaltyFactory(meet=meet, school=entered[0].athlete.school)
        kind = {"discipline": event.discipline, "category": event.category, "age_group": event.age_group}
        record = RecordFactory(mark=400, **kind)
        record.book.meets.add(meet)
        claim = RecordClaimFactory(book=record.book, entry=entered[0])
        StandardFactory(meet=meet)
        device = DeviceFactory(key=PitKeyFactory(session=session))
        delivery = DeliveryFactory(stream=StreamFactory(device=device, max_seq=3), event=event, status="needs_review")
        aside = SetAsideFactory(device=device)
        about = {"event": {"number": event.pk, "name": event.name}, "meet": {"slug": meet.slug, "name": meet.name}}
        published(event, document(status="official", version=2, **about))
        pack = a_pack(meet, entered[0].athlete.school)
        mailing = MailingFactory(pack=pack, state="failed")
        keys = [str(entry.pk) for entry in entered]
        rows = rows_at(stage, whole_event(tuple(keys)))
        LogRow.objects.bulk_create(LogRowFactory.build(event=event, rev=row.rev, fact=row.fact) for row in rows)
    return {
        "meet": meet.slug,
        "event_id": event.pk,
        "entry_id": entered[0].pk,
        "entry": entered[0].pk,
        "round": 1,
        "replacement": 0,
        "school_id": entered[0].athlete.school.pk,
        "pit_id": session.pit.pk,
        "session_id": session.pk,
        "book_id": record.book_id,
        "record_id": record.pk,
        "claim_id": claim.pk,
        "penalty_id": Penalty.objects.filter(meet=meet).latest("pk").pk,
        "sheet_id": sheet.pk,
        "token": "no-file-is-kept-under-it",
        "number": device.number,
        "key_id": device.key_id,
        "delivery_id": delivery.pk,
        "aside_id": aside.pk,
        "version": 1,
        "pack_id": pack.pk,
        "mailing_id": mailing.pk,
    }


@pytest.fixture
def parts(request, db):
    return a_meet(stage=getattr(request, "param", "finished"))


@pytest.fixture
def kept(parts, desk_client, settings, tmp_path):
    """A function that puts an uploaded file of one good line into the parts of an address, and may store it."""
    settings.DATA_DIR = tmp_path

    def keep(*, stored: bool) -> None:
        event, school = Event.objects.get(pk=parts["event_id"]), SchoolFactory()
        born, sex = f"{BORN[event.age_group]}-02-03", "F" if event.category == "girls" else "M"
        line = f"{school.code},Ode,Amblecote,{born},{sex},{event.name},4.52"
        text = f"School code,First name,Surname,Date of birth,Sex,Event,Best\n{line}\n"
        file = SimpleUploadedFile("entries.csv", text.encode(), "text/csv")
        answer = desk_client.post(reverse("entries:upload", args=[parts["meet"]]), {"file": file})
        parts["token"] = answer.url.rstrip("/").rpartition("/")[2]
        if stored:
            check = desk_client.get(reverse("entries:check", args=[parts["meet"], parts["token"]]))
            seen = re.search(r'name="seen" value="(\w+)"', check.text)[1]
            answer = desk_client.post(reverse("entries:accept", args=[parts["meet"], parts["token"]]), {"seen": seen})
            assert answer.url == reverse("entries:stored", args=[parts["meet"], parts["token"]])

    return keep


def address(name: str, words: dict[str, str], parts: dict[str, object]) -> str:
    known = {**parts, **words}
    return reverse(name, kwargs={part: known[part] for part in PARTS[name]})


def test_every_address_has_its_kind():
    assert set(PARTS) == set(ADDRESSES)


@pytest.mark.parametrize(("name", "words", "parts", "stage"), PLACES, indirect=["parts"])
def test_looking_changes_nothing(name, words, parts, stage, desk_client, kept):
    if "token" in PARTS[name]:
        kept(stored=name == "entries:stored")
    with nothing_is_written():
        response = desk_client.get(address(name, words, parts))
    too_early = name in NOT_BEFORE_A_TRIAL and stage == "nothing recorded"
    assert response.status_code == (404 if too_early else ORGANISER_GETS[ADDRESSES[name]])
    if response.status_code == 200:
        is_page = response["Content-Type"].startswith("text/html")
        assert is_page is (ADDRESSES[name] not in (FILE, PART, SHOWN_FILE))


@pytest.mark.parametrize("method", ["get", "post"])
@pytest.mark.parametrize("name", [name for name in PARTS if name not in OF_PHONES])
def test_without_an_account_there_is_only_what_is_public(name, method, parts, client):
    with nothing_is_written():
        response = getattr(client, method)(address(name, FIRST, parts))
    if ADDRESSES[name] in (PUBLIC, PART, DOOR):
        assert response.status_code in ((200,) if method == "get" else (200, 405, 422))
    elif ADDRESSES[name] in (SHOWN, SHOWN_FILE):
        assert response.status_code in (404, 405)
    elif ADDRESSES[name] == MOVE:
        assert response.status_code == 302
    elif response.status_code != 405:
        assert (response.status_code, response.headers["Location"].partition("?")[0]) == (302, reverse("desk:sign_in"))


@pytest.mark.parametrize("name", [name for name, kind in ADDRESSES.items() if kind in (SHOWN, SHOWN_FILE)])
def test_a_meet_that_is_shown_is_seen_by_everybody(name, parts, client):
    Meet.objects.update(is_public=True)
    with nothing_is_written():
        assert client.get(address(name, FIRST, parts)).status_code == 200


@pytest.mark.parametrize("name", [name for name in PARTS if ADDRESSES.get(name) not in (MOVE, PHONES)])
def test_nothing_is_changed_without_the_token_of_a_form(name, parts, organiser):
    """Another site cannot make the organiser's browser change something."""
    client = Client(enforce_csrf_checks=True)
    client.force_login(organiser)
    with nothing_is_written():
        assert client.post(address(name, FIRST, parts)).status_code == 403


@pytest.mark.parametrize("method", ["get", "post", "put"])
@pytest.mark.parametrize("name", OF_PHONES)
def test_without_the_token_of_a_phone_nothing_is_told_or_taken(name, method, parts, desk_client):
    """Neither is the organiser's browser a phone: another site could make it send."""
    with nothing_is_written():
        response = getattr(desk_client, method)(address(name, FIRST, parts))
    if (name, method) == ("sync:openapi", "get"):
        assert (response.status_code, "paths" in response.json()) == (200, True)
    else:
        assert (response.status_code in (400, 401, 405), response["Content-Type"]) == (True, "application/problem+json")


@pytest.mark.parametrize("name", [name for name in PARTS if PARTS[name] and name not in OF_PHONES])
def test_what_does_not_exist_is_not_found(name, parts, desk_client):
    nowhere = dict.fromkeys(parts, 999999) | dict.fromkeys(("meet", *EVERY), "no-such-thing") | {"delivery_id": uuid4()}
    assert desk_client.get(address(name, {}, nowhere)).status_code in NOT_THERE


@pytest.mark.parametrize(
    "name", [name for name, parts in PARTS.items() if "meet" in parts and not set(parts) <= {"meet", "school_id"}]
)
@pytest.mark.parametrize("method", ["get", "post"])
def test_nothing_of_one_meet_is_found_under_another(name, method, parts, desk_client):
    """Schools are the same in every meet; all else belongs to one."""
    other = {**parts, "meet": MeetFactory().slug}
    with nothing_is_written():
        response = getattr(desk_client, method)(address(name, FIRST, other))
    assert response.status_code in NOT_THERE


@pytest.mark.parametrize(
    "name", [name for name, kind in ADDRESSES.items() if kind in (PAGE, FILE, SHOWN, SHOWN_FILE) and name in PARTS]
)
def test_the_number_of_queries_does_not_grow_with_what_is_there(name, desk_client):
    if "token" in PARTS[name]:
        pytest.skip("asks nothing for each entry: its number of queries is tested with the files")
    counted = []
    for events, entries in ((2, 3), (4, 7)):
        address_there = address(name, FIRST, a_meet(events=events, entries=entries, stage="cut due"))
        states._states.clear()
        with CaptureQueriesContext(connection) as queries:
            desk_client.get(address_there)
        counted.append([query["sql"] for query in queries])
    small, large = counted
    assert len(small) == len(large), "\n".join(large)
