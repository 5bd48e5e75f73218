"""The letter that a pack goes out with, and what became of giving it to the mail server."""

import json
import re
import smtplib
from dataclasses import dataclass
from email.encoders import encode_base64
from email.mime.base import MIMEBase
from email.utils import parseaddr
from hashlib import sha256

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.mail import EmailMessage, get_connection
from django.core.validators import validate_email
from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from meets.models import Mailing, SchoolPack
from meets.publishing.packs.mail_files import file_name
from meets.publishing.packs.mail_server import EmailBackend as MailServer
from meets.publishing.packs.sheet import pack_words
from meets.sheets.printing import safe_name

ENHANCED_CODE = re.compile(r"\b[245]\.\d{1,3}\.\d{1,3}\b")
LONGEST_OUTCOME = 300
State = Mailing.State


@dataclass(frozen=True, slots=True)
class Outcome:
    """`state` sent, failed or unsure. `no_server`: it is not there, so letters to others need not be tried."""

    state: str
    says: str
    no_server: bool = False


def message_id_of(pack: SchoolPack, address: str) -> str:
    """The same for a pack and an address for ever, so that mail programs show a letter once that came twice."""
    own = sha256(f"{pack.sha256} {address.casefold()}".encode()).hexdigest()[:20]
    domain = parseaddr(settings.DEFAULT_FROM_EMAIL)[1].rpartition("@")[2] or "localhost"
    return f"<pack-{pack.pk}-{pack.version}-{own}@{domain}>"


def message_of(mailing: Mailing, address_of_results: str = "") -> EmailMessage:
    """Plain text with the pack as PDF and as a table. Wants the mailing with pack, meet, school, PDF and CSV."""
    pack = mailing.pack
    document = json.loads(pack.document)
    words = {"pack": document, "says": pack_words(document), "address": address_of_results}
    subject = " ".join(render_to_string("mail/pack_subject.txt", words).split())
    name = (pack.meet.slug, pack.school.code, f"pack-{pack.version}")
    message = EmailMessage(
        subject,
        render_to_string("mail/pack.txt", words).strip() + "\n",
        to=[mailing.address],
        headers={"Message-ID": mailing.message_id, "Auto-Submitted": "auto-generated"},
    )
    message.attach(safe_name(name, ".pdf"), bytes(pack.pdf), "application/pdf")
    message.attach(_table(pack.csv, safe_name(name, ".csv")))
    return message


def _table(csv: str, name: str) -> MIMEBase:
    """In base64, so that no server on the way changes letters or line ends."""
    part = MIMEBase("text", "csv", charset="utf-8")
    part.set_payload(csv.encode())
    encode_base64(part)
    part.add_header("Content-Disposition", "attachment", filename=name)
    return part


def deliver(mailing: Mailing, address_of_results: str = "") -> Outcome:
    """Give the letter to the mail server, or write it into the folder. Says what is known of it then.

    What a server says after it was given the letter is left out but for its codes: it may quote the letter.
    """
    try:
        validate_email(mailing.address)
        message = message_of(mailing, address_of_results)
    except ValidationError:
        return Outcome(State.FAILED, _("Not sent: its address is not one. Put it right under Schools."))
    except Exception as problem:  # (whatever is wrong with it, nothing was sent)
        return Outcome(State.FAILED, _("The letter could not be written: %(why)s") % {"why": type(problem).__name__})
    server = get_connection()
    try:
        return _through(server, message) if isinstance(server, MailServer) else _kept(server, message, mailing)
    finally:
        server.close()


def _kept(server, message: EmailMessage, mailing: Mailing) -> Outcome:
    """By a backend that is no mail server."""
    try:
        server.send_messages([message])
    except OSError as problem:
        says = _("It could not be written into the folder: %(why)s.") % {"why": problem.strerror or "?"}
        return Outcome(State.FAILED, says, no_server=True)
    except Exception as problem:  # (whatever is wrong with it, the others are still to be sent)
        return Outcome(State.FAILED, _("The letter could not be written: %(why)s") % {"why": type(problem).__name__})
    says = _("Kept as the file %(name)s: no mail server is named.") % {"name": file_name(mailing.message_id)}
    return Outcome(State.SENT, says)


def _through(server: MailServer, message: EmailMessage) -> Outcome:
    try:
        server.open()
    except Exception as problem:  # (no name, no answer, no such account, a certificate that is not trusted)
        return Outcome(State.FAILED, _("The mail server: %(why)s.") % {"why": _why(problem)}, no_server=True)
    try:
        sent = server.send_messages([message])
    except smtplib.SMTPDataError as problem:
        return _answered(problem.smtp_code, problem.smtp_error, given_over=server.given_over)
    except Exception as problem:  # (a refusal is one of several kinds, a broken connection another)
        if server.given_over:
            return Outcome(State.UNSURE, _("The connection broke after the letter had been given over."))
        return Outcome(State.FAILED, _("Not sent: %(why)s.") % {"why": _why(problem)})
    if not sent:
        return Outcome(State.FAILED, _("Not sent: there is no address."))
    return Outcome(State.SENT, _("Taken by the mail server."))


def _answered(code: int, words: bytes, *, given_over: bool) -> Outcome:
    """The server's answer to the data: to its beginning or, once given over, to the whole letter."""
    kind = code // 100
    if given_over and kind == 2:
        return Outcome(State.SENT, _("Taken by the mail server."))
    if given_over and kind not in (4, 5):
        return Outcome(State.UNSURE, _("The letter was given over, and the answer of the mail server is none."))
    codes = " ".join([str(code), *ENHANCED_CODE.findall(_text(words))[:1]])
    return Outcome(State.FAILED, _("The mail server refused the letter (%(codes)s).") % {"codes": codes})


def _why(problem: Exception) -> str:
    """Before the letter was given over, so its words can be quoted: they hold the address at most."""
    if isinstance(problem, smtplib.SMTPRecipientsRefused):
        code, words = next(iter(problem.recipients.values()))
        return _("the address was refused (%(answer)s)") % {"answer": f"{code} {_text(words)}"}
    if isinstance(problem, smtplib.SMTPAuthenticationError):
        return _("the account was refused (%(code)d)") % {"code": problem.smtp_code}
    if isinstance(problem, smtplib.SMTPResponseException):
        return f"{problem.smtp_code} {_text(problem.smtp_error)}"
    if isinstance(problem, TimeoutError):
        return _("no answer in time")
    if isinstance(problem, smtplib.SMTPServerDisconnected | ConnectionError):
        return _("the connection broke before the letter was given over")
    if isinstance(problem, OSError) and problem.strerror:
        return problem.strerror
    return type(problem).__name__


def _text(words: bytes | str) -> str:
    """An answer of a server on one line."""
    text = words.decode("utf-8", "replace") if isinstance(words, bytes) else words
    return " ".join("".join(letter if letter.isprintable() else " " for letter in text).split())[:150]
