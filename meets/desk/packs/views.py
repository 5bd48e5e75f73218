"""Packs for schools: made, mailed, printed; the medal table, certificates and labels."""

import time

from django.contrib import messages
from django.core.exceptions import BadRequest
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.http import content_disposition_header
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST, require_safe

from meets.desk.packs import reads
from meets.desk.packs.forms import CertificatesForm, LabelsForm, LetterForm
from meets.desk.packs.tables import MedalsTable, PacksTable
from meets.desk.phones.address import public_base
from meets.entries.in_meet import in_meet
from meets.models import Mailing, Meet
from meets.publishing.packs.actions import has_arrived, make_packs, put_in_line, send_again
from meets.publishing.packs.awards import awards_of, envelopes, label_of
from meets.publishing.packs.build import Drawing
from meets.publishing.packs.medals import medal_table
from meets.publishing.packs.reads import documents_of, newest_packs
from meets.publishing.packs.sending import send_one, send_waiting
from meets.publishing.packs.sources import sources_of
from meets.running.refusals import Refusal
from meets.sheets.printing import safe_name

AT_ONCE_S = 15
"""So long letters are sent within one request where the page cannot ask again by itself."""


@require_safe
@in_meet
def packs(request: HttpRequest, meet: Meet) -> HttpResponse:
    return render(request, "desk/packs_list.html", _packs(request, meet, of=_number(request.GET.get("of"))))


def _packs(request: HttpRequest, meet: Meet, *, of: int = 0, stopped: str = "") -> dict[str, object]:
    """`of`: how many letters were in line when sending began; 0 where nothing is being sent."""
    page = reads.packs_page(meet, timezone.now())
    return {
        "meet": meet,
        "page": page,
        "table": PacksTable(page.lines, meet=meet, request=request),
        "of": of,
        "done": max(of - page.waiting, 0),
        "stopped": stopped,
    }


def _number(text: str | None) -> int:
    return min(int(text), 10_000) if text and text.isascii() and text.isdecimal() and len(text) < 6 else 0


@require_POST
@in_meet
def make(request: HttpRequest, meet: Meet) -> HttpResponse:
    """Packs that have changed are made; `mail`: and put in line, with what failed before."""
    now = timezone.now()
    made = make_packs(meet=meet, now=now, base=public_base(request, meet))
    many = len(made.new)
    words = ngettext("%(count)d pack is new.", "%(count)d packs are new.", many) % {"count": many}
    messages.success(request, words if many else _("Every pack is as it was: nothing has been published since."))
    if "mail" not in request.POST:
        return redirect("packs:list", meet.slug)
    line = put_in_line(meet=meet, now=now)
    if not line.waiting:
        messages.info(request, _("No letter to send: every school with an address has what its pack says."))
    address = redirect("packs:list", meet.slug)
    if line.waiting:
        address["Location"] += f"?of={line.waiting}"
    return address


@require_POST
@in_meet
def send(request: HttpRequest, meet: Meet) -> HttpResponse:
    """Letters in line: one at a time where the page asks again by itself, else as many as a request has time for."""
    until = time.monotonic() + AT_ONCE_S
    stopped, base = "", public_base(request, meet)
    for tried in send_waiting(meet=meet, clock=timezone.now, base=base, go_on=lambda: time.monotonic() < until):
        stopped = tried.outcome.says if tried.outcome.no_server else ""
        if request.htmx:
            break
    of = _number(request.POST.get("of"))
    if request.htmx:
        return render(request, "desk/_packs_now.html", _packs(request, meet, of=of, stopped=stopped))
    if stopped:
        messages.error(request, stopped)
        return redirect("packs:list", meet.slug)
    address = redirect("packs:list", meet.slug)
    address["Location"] += f"?of={of}" if of else ""
    return address


@require_POST
@in_meet
def letter(request: HttpRequest, meet: Meet, mailing_id: int) -> HttpResponse:
    """Sent once more, or known to have arrived. What the school has is sent again only after a question."""
    mailing = get_object_or_404(reads.letters_in(meet), pk=mailing_id)
    form = LetterForm(request.POST)
    if not form.is_valid():
        raise BadRequest(form.errors.as_text())
    once_more = form.cleaned_data["do"] == "again" and reads.is_with_the_school(mailing, timezone.now())
    if once_more and form.cleaned_data["tries"] != mailing.tries:
        return redirect("packs:again", meet.slug, mailing.pk)
    try:
        if form.cleaned_data["do"] == "arrived":
            has_arrived(mailing=mailing, by=request.user.get_username(), now=timezone.now())
            messages.success(request, _("Noted: the letter is there."))
            return redirect("packs:list", meet.slug)
        mailing = send_again(mailing=mailing, now=timezone.now())
    except Refusal as refusal:
        messages.error(request, str(refusal))
        return redirect("packs:list", meet.slug)
    base = public_base(request, meet)
    tried = send_one(pk=mailing.pk, tries=mailing.tries, clock=timezone.now, base=base)
    if tried is not None:
        sent = tried.outcome.state == Mailing.State.SENT
        (messages.success if sent else messages.error)(request, tried.outcome.says)
    return redirect("packs:list", meet.slug)


@require_safe
@in_meet
def again(request: HttpRequest, meet: Meet, mailing_id: int) -> HttpResponse:
    """Asks whether a school is to get a letter once more."""
    mailing = get_object_or_404(reads.letters_in(meet), pk=mailing_id)
    says = reads.again_words(mailing, timezone.now())
    return render(request, "desk/packs_again.html", {"meet": meet, "mailing": mailing, "says": says})


@require_safe
@in_meet
def pdf(request: HttpRequest, meet: Meet, pack_id: int) -> HttpResponse:
    pack = get_object_or_404(reads.packs_in(meet), pk=pack_id)
    return _file(bytes(pack.pdf), "application/pdf", _pack_name(pack, ".pdf"))


@require_safe
@in_meet
def csv(request: HttpRequest, meet: Meet, pack_id: int) -> HttpResponse:
    pack = get_object_or_404(reads.packs_in(meet), pk=pack_id)
    return _file(pack.csv, "text/csv; charset=utf-8", _pack_name(pack, ".csv"), download=True)


def _pack_name(pack, ending: str) -> str:
    return safe_name((pack.meet.slug, pack.school.code, f"pack-{pack.version}"), ending)


@require_safe
@in_meet
def print_all(request: HttpRequest, meet: Meet) -> HttpResponse:
    """The newest pack of every school, or of those without an address, on paper."""
    found = newest_packs(meet)
    if request.GET.get("only") == "no-address":
        found = found.filter(school__contact_email="")
    rows = list(found)
    if not rows:
        messages.info(request, _("There is no pack to print yet."))
        return redirect("packs:list", meet.slug)
    content = Drawing(meet, documents_of(rows), public_base(request, meet)).all_to_print(rows)
    return _file(content, "application/pdf", safe_name((meet.name, "packs"), ".pdf"))


@require_safe
@in_meet
def medals(request: HttpRequest, meet: Meet) -> HttpResponse:
    table = medal_table(sources_of(meet), timezone.now())
    return render(request, "desk/packs_medals.html", {"meet": meet, "medals": table, "table": MedalsTable(table.lines)})


@require_safe
@in_meet
def medals_sheet(request: HttpRequest, meet: Meet) -> HttpResponse:
    from meets.sheets.medals import medals_pdf

    content = medals_pdf(medal_table(sources_of(meet), timezone.now()))
    return _file(content, "application/pdf", safe_name((meet.name, "medals"), ".pdf"))


@require_safe
@in_meet
def certificates(request: HttpRequest, meet: Meet) -> HttpResponse:
    """The choice of certificates and labels."""
    form = LabelsForm(meet=meet)
    return render(request, "desk/packs_certificates.html", {"meet": meet, "form": form})


@require_safe
@in_meet
def certificates_file(request: HttpRequest, meet: Meet) -> HttpResponse:
    from meets.sheets.certificates import certificates_pdf

    form = CertificatesForm.asked(request.GET, meet)
    if not form.is_valid():
        return _choose_again(request, meet)
    awards = awards_of(sources_of(meet), form.wanted())
    if not awards.certificates:
        return _nothing_chosen(request, meet, awards.left_out)
    return _file(certificates_pdf(awards.certificates, meet.paper), "application/pdf", _name(meet, "certificates"))


@require_safe
@in_meet
def labels_file(request: HttpRequest, meet: Meet) -> HttpResponse:
    from meets.sheets.labels import labels_pdf

    form = LabelsForm.asked(request.GET, meet)
    if not form.is_valid():
        return _choose_again(request, meet)
    sources, wanted = sources_of(meet), form.wanted()
    if form.cleaned_data["label_for"] == "schools":
        return _file(labels_pdf(envelopes(sources, wanted), form.sheet()), "application/pdf", _name(meet, "labels"))
    awards = awards_of(sources, wanted)
    if not awards.certificates:
        return _nothing_chosen(request, meet, awards.left_out)
    content = labels_pdf([label_of(one) for one in awards.certificates], form.sheet())
    return _file(content, "application/pdf", _name(meet, "labels"))


def _choose_again(request: HttpRequest, meet: Meet) -> HttpResponse:
    form = LabelsForm.asked(request.GET, meet)
    form.is_valid()
    return render(request, "desk/packs_certificates.html", {"meet": meet, "form": form}, status=422)


def _nothing_chosen(request: HttpRequest, meet: Meet, left_out: tuple[str, ...]) -> HttpResponse:
    form = LabelsForm.asked(request.GET, meet)
    context = {"meet": meet, "form": form, "nothing": True, "left_out": left_out}
    return render(request, "desk/packs_certificates.html", context, status=422)


def _name(meet: Meet, what: str) -> str:
    return safe_name((meet.name, what), ".pdf")


def _file(content: bytes | str, kind: str, name: str, *, download: bool = False) -> HttpResponse:
    """Full names: never kept by anybody in between."""
    return HttpResponse(
        content,
        content_type=kind,
        headers={
            "Content-Disposition": content_disposition_header(download, name),
            "Cache-Control": "private, no-store",
        },
    )
