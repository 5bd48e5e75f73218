"""Letters through a mail server that fails in every way: none is lost, none is sent twice by itself.

What was sent is judged by what the server has taken, not by what we believe of it.
"""

import io
import logging
import socket
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from django.core import mail
from django.db import connection, connections, transaction
from django.utils import timezone
from pypdf import PdfReader

from athletes.models import School
from meets.models import Mailing, SchoolPack
from meets.publishing.packs.actions import make_packs, put_in_line, send_again
from meets.publishing.packs.letter import Outcome, message_of
from meets.publishing.packs.sending import send_one, send_waiting
from tests.factories import START
from tests.meets.publishing.packs.days import PublishedDay
from tests.meets.publishing.packs.mail_servers import CutsInTheData, MailServer

SERVER = "meets.publishing.packs.mail_server.EmailBackend"
FILES = "meets.publishing.packs.mail_files.EmailBackend"


@pytest.fixture
def through(settings):
    """Have letters go to a port of this machine."""

    def to(port, timeout=10):
        settings.EMAIL_BACKEND = SERVER
        settings.EMAIL_HOST, settings.EMAIL_PORT, settings.EMAIL_TIMEOUT = "127.0.0.1", port, timeout
        settings.EMAIL_USE_TLS = settings.EMAIL_USE_SSL = False
        settings.DEFAULT_FROM_EMAIL = "jumps@example.org"

    return to


@pytest.fixture
def server(through):
    with MailServer() as running:
        through(running.port)
        yield running.letters


@pytest.fixture
def waiting(day):
    """A day with its letters in line."""
    day.in_line()
    return day


def address(day, number=0):
    return day.schools[number].contact_email


def letter(day, number=0):
    return Mailing.objects.get(pack__school=day.schools[number])


def send(day, **values):
    return list(send_waiting(meet=day.meet, clock=timezone.now, **values))


def retry(day):
    """What the command does: everything that is not surely or perhaps sent, once more."""
    put_in_line(meet=day.meet, now=timezone.now())
    return send(day)


def test_every_school_gets_its_pack_once(waiting, server):
    send(waiting)
    assert sorted(server.taken) == sorted(school.contact_email for school in waiting.schools)
    assert retry(waiting) == []
    assert sorted(server.taken) == sorted(school.contact_email for school in waiting.schools)
    assert set(Mailing.objects.values_list("state", "tries")) == {("sent", 1)}


@pytest.mark.parametrize(
    ("what", "state"),
    [
        ("refuse 4xx", "failed"),
        ("refuse 5xx", "failed"),
        ("refuse letter 4xx", "failed"),
        ("refuse letter 5xx", "failed"),
        ("hang at recipient", "failed"),
        ("drop at recipient", "failed"),
        ("hang after data", "unsure"),
        ("taken, no answer", "unsure"),
        ("drop after data", "unsure"),
        ("taken, dropped", "unsure"),
        ("nonsense", "unsure"),
    ],
)
def test_one_recipient_fails(waiting, server, settings, what, state):
    """The others are sent. What surely failed is sent by the next try; what may have arrived is not touched again."""
    server.days[address(waiting)] = what
    if "hang" in what or "no answer" in what:
        settings.EMAIL_TIMEOUT = 2
    send(waiting)
    assert letter(waiting).state == state
    others = sorted(address(waiting, number) for number in (1, 2))
    assert sorted(one for one in server.taken if one != address(waiting)) == others
    server.days.clear()
    retry(waiting)
    taken = server.taken.count(address(waiting))
    if state == "failed":
        assert (letter(waiting).state, taken) == ("sent", 1)
    else:
        assert (letter(waiting).state, taken) == (
            "unsure",
            1 if what in ("taken, no answer", "taken, dropped", "nonsense") else 0,
        )
    assert len(server.taken) == len(set(server.taken))


def test_the_organiser_may_send_an_unsure_letter_again_under_its_own_number(waiting, server):
    server.days[address(waiting)] = "taken, dropped"
    send(waiting)
    first = server.bodies[address(waiting)]
    server.days.clear()
    send_again(mailing=letter(waiting), now=timezone.now())
    send(waiting)
    assert server.taken.count(address(waiting)) == 2
    assert server.bodies[address(waiting)]["Message-ID"] == first["Message-ID"] == letter(waiting).message_id


def test_a_server_that_is_not_there_loses_nothing_and_is_asked_once(waiting, through):
    with socket.socket() as held:
        held.bind(("127.0.0.1", 0))
        through(held.getsockname()[1])
        tried = send(waiting)
    assert [(one.outcome.state, one.outcome.no_server) for one in tried] == [("failed", True)]
    assert sorted(Mailing.objects.values_list("state", flat=True)) == ["failed", "waiting", "waiting"]
    with MailServer() as running:
        through(running.port)
        retry(waiting)
        assert sorted(running.letters.taken) == sorted(school.contact_email for school in waiting.schools)


def test_a_server_that_takes_the_connection_and_says_nothing(waiting, through):
    with socket.socket() as silent:
        silent.bind(("127.0.0.1", 0))
        silent.listen()
        through(silent.getsockname()[1], timeout=0.2)
        [tried] = send(waiting)
    assert (tried.outcome.state, tried.outcome.no_server) == ("failed", True)


def test_the_connection_breaks_in_the_middle_of_the_data(waiting, through):
    """The end of the data was never given over, so the letter is surely not delivered."""
    with CutsInTheData() as cut:
        through(cut.port)
        send(waiting)
    assert set(Mailing.objects.values_list("state", flat=True)) == {"failed"}


def test_two_senders_send_each_letter_once(waiting, server):
    """Both have looked at the same line before either sends."""
    first = send_waiting(meet=waiting.meet, clock=timezone.now)
    second = send_waiting(meet=waiting.meet, clock=timezone.now)
    next(first), next(second)
    done = [*first, *second]
    assert len(done) == 1
    assert sorted(server.taken) == sorted(school.contact_email for school in waiting.schools)


def test_a_failed_letter_is_tried_by_one_of_two_who_retry_it(waiting, server):
    server.days[address(waiting)] = "refuse 4xx"
    send(waiting)
    mailing = letter(waiting)
    assert send_one(pk=mailing.pk, tries=mailing.tries, clock=timezone.now) is not None
    assert send_one(pk=mailing.pk, tries=mailing.tries, clock=timezone.now) is None
    assert letter(waiting).tries == 2


@pytest.mark.skipif(connection.vendor == "sqlite", reason="SQLite in memory has no second connection")
@pytest.mark.django_db(transaction=True)
def test_many_senders_at_the_same_moment_send_each_letter_once(through):
    day = PublishedDay().all_results()
    day.in_line()

    def sends(_number):
        try:
            return len(send(day))
        finally:
            connections.close_all()

    with MailServer() as running:
        through(running.port)
        with ThreadPoolExecutor(4) as pool:
            assert sum(pool.map(sends, range(4))) == 3
        assert sorted(running.letters.taken) == sorted(school.contact_email for school in day.schools)


@pytest.mark.parametrize("taken", [True, False], ids=["after it was taken", "before it was taken"])
def test_a_crash_while_sending_is_never_sent_again_by_itself(waiting, server, monkeypatch, taken):
    """The process ends between giving a letter over and writing down what came of it, or before giving it over."""
    crashing(monkeypatch, taken)
    with pytest.raises(KeyboardInterrupt):
        send(waiting)
    monkeypatch.undo()
    broken_off = Mailing.objects.get(state="sending")
    retry(waiting)
    broken_off.refresh_from_db()
    assert broken_off.state == "sending"
    later = timezone.now() + timedelta(minutes=11)
    put_in_line(meet=waiting.meet, now=later)
    list(send_waiting(meet=waiting.meet, clock=lambda: later, failed_too=True))
    broken_off.refresh_from_db()
    assert broken_off.state == "unsure"
    assert server.taken.count(broken_off.address) == (1 if taken else 0)
    assert len(server.taken) == len(set(server.taken)) == (3 if taken else 2)


def crashing(monkeypatch, taken):
    """A fault at the seam to the mail server, once; all of our own code runs as it is."""
    from django.core.mail.backends.smtp import EmailBackend

    real, hit = EmailBackend.send_messages, []

    def crash(self, messages):
        if hit:
            return real(self, messages)
        hit.append(True)
        if taken:
            real(self, messages)
        raise KeyboardInterrupt

    monkeypatch.setattr(EmailBackend, "send_messages", crash)


def test_nothing_is_sent_inside_of_a_transaction(waiting, server):
    """The claim must be in the database before the letter is on its way."""
    with pytest.raises(RuntimeError), transaction.atomic():
        send(waiting)
    assert server.taken == []


def test_what_is_known_in_the_end_counts_though_the_letter_was_given_up_meanwhile(waiting, server):
    mailing = letter(waiting)

    class Slow:
        """A clock that lets the letter be given up as unsure before its outcome is kept."""

        calls = 0

        def __call__(self):
            self.calls += 1
            if self.calls == 2:
                put_in_line(meet=waiting.meet, now=timezone.now() + timedelta(minutes=30))
                assert letter(waiting).state == "unsure"
            return timezone.now()

    send_one(pk=mailing.pk, tries=0, clock=Slow())
    assert letter(waiting).state == "sent"


def test_a_letter_has_text_first_then_the_pack_and_the_table(waiting, server):
    send(waiting)
    got = server.bodies[address(waiting)]
    text, pdf, table = got.get_payload()
    assert [part.get_content_type() for part in (text, pdf, table)] == ["text/plain", "application/pdf", "text/csv"]
    assert got["Subject"] == f"Spring jumps: results of {waiting.schools[0].name}"
    assert [part.get_filename() for part in (pdf, table)] == [
        "spring-jumps-thw-pack-1.pdf",
        "spring-jumps-thw-pack-1.csv",
    ]
    first = PdfReader(io.BytesIO(pdf.get_payload(decode=True))).pages[0].extract_text()
    assert "Łucja O’Neil" in " ".join(first.split())
    assert len(text.get_payload(decode=True).decode().splitlines()) < 15
    assert table.get_payload(decode=True).decode() == letter(waiting).pack.csv
    assert table["Content-Type"] == 'text/csv; charset="utf-8"'


def test_a_changed_pack_says_in_the_letter_what_changed(waiting, server):
    send(waiting)
    event = waiting.events[0]
    waiting.result(event, changes={0: {"points": "7 1/2"}}, reason="Shared")
    waiting.in_line()
    send(waiting)
    got = server.bodies[address(waiting)]
    assert got["Subject"] == f"Spring jumps: changed results of {waiting.schools[0].name}"
    text = got.get_payload()[0].get_payload(decode=True).decode()
    assert f"- {event.name}: Bib 1: points were 8, are now 7 1/2." in text.splitlines()
    assert len(server.taken) == 4


@pytest.mark.parametrize("what", ["refuse 5xx", "refuse letter 5xx", "drop at recipient", "taken, dropped", ""])
def test_no_name_of_a_pupil_is_in_a_log_or_an_outcome(waiting, server, caplog, what):
    """Some servers quote the letter that they refuse; none of that is kept."""
    caplog.set_level(logging.DEBUG)
    server.days[address(waiting)] = what
    send(waiting)
    outcome = letter(waiting).outcome
    quoted = "" if what != "refuse letter 5xx" else "(554 5.7.1)"
    assert outcome
    assert quoted in outcome
    pieces = [part for school in waiting.schools for event in waiting.events
              for part in str(waiting.entry(event, school).athlete).split()]  # fmt: skip
    assert [piece for piece in pieces if piece in outcome or piece in caplog.text] == []


def test_without_a_mail_server_letters_are_files_that_are_never_doubled(waiting, settings, tmp_path):
    settings.EMAIL_BACKEND, settings.EMAIL_FILE_PATH = FILES, tmp_path / "mail"
    send(waiting)
    names = sorted(path.name for path in (tmp_path / "mail").iterdir())
    assert [name.endswith(".eml") for name in names] == [True] * 3
    outcomes = sorted(Mailing.objects.values_list("outcome", flat=True))
    assert outcomes == [f"Kept as the file {name}: no mail server is named." for name in names]
    send_again(mailing=letter(waiting), now=timezone.now())
    send(waiting)
    assert sorted(path.name for path in (tmp_path / "mail").iterdir()) == names


def test_a_folder_that_cannot_be_written_to_fails_and_loses_nothing(waiting, settings, tmp_path):
    (tmp_path / "mail").write_text("a file is in the way")
    settings.EMAIL_BACKEND, settings.EMAIL_FILE_PATH = FILES, tmp_path / "mail"
    [tried] = send(waiting)
    assert (tried.outcome.state, tried.outcome.no_server) == ("failed", True)
    (tmp_path / "mail").unlink()
    assert len(retry(waiting)) == 3


def test_names_of_school_and_meet_cannot_add_a_header(db, settings):
    day = PublishedDay(schools=1).all_results()
    day.schools[0].name = "Elm\r\nBcc: all@example.org"
    day.schools[0].save()
    day.in_line()
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    message_of(letter(day)).send()
    assert (mail.outbox[0].to, mail.outbox[0].message()["Bcc"]) == ([address(day)], None)


@pytest.mark.parametrize(
    "wrong",
    [
        "a@one.example\nBcc: b@two.example",
        "a@one.example, b@two.example",
        "Mum <a@one.example>",
        "a b@one.example",
        "@",
    ],
)
@pytest.mark.parametrize("backend", [SERVER, FILES])
def test_an_address_that_is_none_fails_alone(day, server, settings, tmp_path, wrong, backend):
    settings.EMAIL_BACKEND, settings.EMAIL_FILE_PATH = backend, str(tmp_path)
    School.objects.filter(pk=day.schools[0].pk).update(contact_email=wrong)
    day.in_line()
    says = {tried.mailing.pack.school_id: tried.outcome for tried in send(day)}
    assert says.pop(day.schools[0].pk) == Outcome(
        "failed", "Not sent: its address is not one. Put it right under Schools."
    )
    assert [outcome.state for outcome in says.values()] == ["sent"] * (len(day.schools) - 1)
    assert len(server.taken) + len(list(tmp_path.iterdir())) == len(day.schools) - 1


def test_a_pack_that_changes_while_letters_go_out_is_not_sent_as_it_was(waiting, server):
    """Who had the first version is told what changed; the others get the second alone, and not the first after it."""
    going = send_waiting(meet=waiting.meet, clock=timezone.now)
    first = next(going).mailing.pack.school
    everybody = range(len(waiting.schools))
    waiting.result(waiting.events[0], changes={number: {"points": "5"} for number in everybody}, reason="Typed wrong")
    make_packs(meet=waiting.meet, now=timezone.now())
    assert list(going) == []
    retry(waiting)
    got = sorted(Mailing.objects.filter(state="sent").values_list("pack__school", "pack__version"))
    assert got == sorted([(first.pk, 1), *((school.pk, 2) for school in waiting.schools)])
    assert {pack.school_id for pack in SchoolPack.objects.filter(version=2) if pack.changes} == {first.pk}
    assert len(server.taken) == len(got)


def test_the_number_of_a_letter_is_the_same_for_ever(waiting):
    numbers = list(Mailing.objects.values_list("message_id", flat=True))
    put_in_line(meet=waiting.meet, now=START + timedelta(days=1))
    assert list(Mailing.objects.values_list("message_id", flat=True)) == numbers
    assert len(set(numbers)) == 3
