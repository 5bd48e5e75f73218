"""Phones of a meet: codes that let them in, how each is doing, and what of their entries waits for somebody."""

from uuid import UUID, uuid4

from django.contrib import messages
from django.core.exceptions import BadRequest
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.http import content_disposition_header
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from meets.desk.phones import reads
from meets.desk.phones.address import base_of
from meets.desk.phones.alike import alike_said, not_blind_said
from meets.desk.phones.cards import cards_of, made_with, on_paper, on_screen
from meets.desk.phones.forms import CodesForm, OutboxForm, SettleForm
from meets.desk.phones.proposal import offers_of
from meets.desk.phones.tables import CodesTable, OffersTable, PhonesTable
from meets.desk.phones.waiting import set_aside_in, waiting_in
from meets.entries.in_meet import in_meet
from meets.models import Delivery, Meet, PitKey, SetAside
from meets.pit.keys.actions import close_key, make_keys, revoke_device, revoke_key
from meets.pit.sync.outbox_file import deliver_file
from meets.pit.sync.review import leave_out, settle_set_aside, take_in
from meets.running.actions import Refusal
from meets.sheets.printing import safe_name

CODES_MADE = "codes_made"


@in_meet
@require_GET
def phones(request: HttpRequest, meet: Meet) -> HttpResponse:
    """Renewed by itself where the browser can, so that a missing entry is seen soon."""
    lines, made = reads.phones_of(meet, timezone.now()), reads.codes_of(meet)
    context = {
        "meet": meet,
        "table": PhonesTable(lines, meet=meet),
        "alarms": [line.alarm for line in lines if line.lost],
        "spoiled": [*alike_said(lines), *not_blind_said(made)],
        "looks": reads.looks_of(meet),
    }
    if request.htmx:
        return render(request, "desk/_phones_now.html", context)
    context |= {"codes": CodesTable(made, meet=meet)}
    return render(request, "desk/phones.html", context)


@in_meet
@never_cache
@require_http_methods(["GET", "POST"])
def codes(request: HttpRequest, meet: Meet) -> HttpResponse:
    """What is made here is shown once: only hashes are kept."""
    form = CodesForm(request.POST or None, meet=meet, offers=offers_of(meet), initial={"once": uuid4().hex})
    if request.method == "POST" and request.POST.get("once") == request.session.get(CODES_MADE):
        messages.info(request, _("These codes were made already and are not shown a second time."))
        return redirect("desk:phones", meet.slug)
    base = base_of(request)
    if form.is_valid():
        try:
            who = request.user.get_username()
            made = make_keys(meet=meet, wanted=form.wanted(), by=who, now=timezone.now())
        except Refusal as refusal:
            form.add_error(None, str(refusal))
        else:
            request.session[CODES_MADE] = form.cleaned_data["once"]
            context = {"meet": meet, "base": base, "cards": on_screen(cards_of(made, base))}
            return render(request, "desk/phones_made.html", context)
    table = OffersTable(form.offers, form=form, meet=meet)
    context = {"meet": meet, "form": form, "table": table, "base": base}
    return render(request, "desk/phones_codes.html", context, status=422 if form.errors else 200)


@sensitive_post_parameters("secret")
@in_meet
@require_POST
def print_codes(request: HttpRequest, meet: Meet) -> HttpResponse:
    """The codes on paper; their secrets come with the request, as they are kept nowhere."""
    made = made_with(meet, request.POST.getlist("secret"))
    if not made:
        raise BadRequest("none of these codes is of this meet")
    content = on_paper(meet, cards_of(made, base_of(request)), timezone.now())
    name = content_disposition_header(False, safe_name((meet.name, _("codes for phones")), ".pdf"))
    headers = {"Content-Disposition": name, "Cache-Control": "private, no-store"}
    return HttpResponse(content, content_type="application/pdf", headers=headers)


@in_meet
@require_http_methods(["GET", "POST"])
def code(request: HttpRequest, meet: Meet, key_id: int) -> HttpResponse:
    key = get_object_or_404(PitKey, pk=key_id, meet=meet)
    do = request.POST.get("do", "")
    if do == "close":
        close_key(key=key)
        messages.success(request, _("This code lets no more phones in. Those that are in go on."))
        return redirect("desk:phones", meet.slug)
    if do == "lock-out":
        locked = revoke_key(key=key, now=timezone.now())
        says = ngettext("The code is taken back; %(count)d phone is locked out.",
                        "The code is taken back; %(count)d phones are locked out.", locked)  # fmt: skip
        messages.success(request, says % {"count": locked})
        return redirect("desk:phones", meet.slug)
    line = next(line for line in reads.codes_of(meet) if line.key.pk == key.pk)
    phones_in = [one for one in reads.phones_of(meet, timezone.now()) if one.device.key_id == key.pk]
    context = {"meet": meet, "line": line, "table": PhonesTable(phones_in, meet=meet)}
    return render(request, "desk/phones_code.html", context)


@in_meet
@require_http_methods(["GET", "POST"])
def phone(request: HttpRequest, meet: Meet, number: int) -> HttpResponse:
    device = get_object_or_404(reads.devices_of(meet), number=number)
    if request.POST.get("do") == "lock-out":
        revoke_device(device=device, now=timezone.now())
        messages.success(request, _("%(phone)s is locked out.") % {"phone": str(device).capitalize()})
        return redirect("desk:phone", meet.slug, number)
    page = reads.phone_page(device, timezone.now())
    return render(request, "desk/phones_phone.html", {"meet": meet, "page": page})


@in_meet
@require_GET
def waiting(request: HttpRequest, meet: Meet) -> HttpResponse:
    return _waiting(request, meet)


def _waiting(
    request: HttpRequest, meet: Meet, *, tried: str = "", says: str = "", reason: str = "", status: int = 200
) -> HttpResponse:
    context = {
        "meet": meet,
        "waiting": waiting_in(meet),
        "asides": set_aside_in(meet),
        "tried": tried,
        "says": says,
        "reason": reason,
    }
    return render(request, "desk/phones_waiting.html", context, status=status)


@in_meet
@require_POST
def settle_waiting(request: HttpRequest, meet: Meet, delivery_id: UUID) -> HttpResponse:
    delivery = get_object_or_404(Delivery, pk=delivery_id, stream__device__meet=meet)
    form = SettleForm(request.POST, choices=("take-in", "leave-out"))
    says = form.says
    if form.is_valid():
        said = {"by": request.user.get_username(), "reason": form.cleaned_data["reason"], "now": timezone.now()}
        taken = form.cleaned_data["do"] == "take-in"
        try:
            (take_in if taken else leave_out)(delivery=delivery, **said)
            messages.success(request, _("Taken in: it is in the log.") if taken else _("Left out; it is kept."))
            return redirect("desk:waiting", meet.slug)
        except Refusal as refusal:
            says = str(refusal)
    reason = request.POST.get("reason", "")[:200]
    return _waiting(request, meet, tried=str(delivery_id), says=says, reason=reason, status=422)


@in_meet
@require_POST
def settle_aside(request: HttpRequest, meet: Meet, aside_id: int) -> HttpResponse:
    aside = get_object_or_404(SetAside, pk=aside_id, device__meet=meet)
    form = SettleForm(request.POST, choices=("first-stands", "use-instead"))
    says = form.says
    if form.is_valid():
        said = {"by": request.user.get_username(), "reason": form.cleaned_data["reason"], "now": timezone.now()}
        try:
            settle_set_aside(set_aside=aside, use_instead=form.cleaned_data["do"] == "use-instead", **said)
            messages.success(request, _("Settled. Both entries are kept."))
            return redirect("desk:waiting", meet.slug)
        except Refusal as refusal:
            says = str(refusal)
    reason = request.POST.get("reason", "")[:200]
    return _waiting(request, meet, tried=str(aside_id), says=says, reason=reason, status=422)


@in_meet
@require_http_methods(["GET", "POST"])
def outbox(request: HttpRequest, meet: Meet) -> HttpResponse:
    """The entries of a phone that cannot send, brought as a file."""
    form = OutboxForm(request.POST or None, request.FILES or None)
    if form.is_valid():
        try:
            done = deliver_file(
                text=form.cleaned_data["file"], meet=meet, by=request.user.get_username(), now=timezone.now()
            )
        except Refusal as refusal:
            form.add_error("file", str(refusal))
        else:
            messages.success(request, _delivered(done.stored, done.known))
            if done.waiting or done.clashing:
                return redirect("desk:waiting", meet.slug)
            return redirect("desk:phones", meet.slug)
    return render(request, "desk/phones_outbox.html", {"meet": meet, "form": form}, status=422 if form.errors else 200)


def _delivered(new: int, known: int) -> str:
    brought = ngettext("%(count)d entry is new and in the log.", "%(count)d entries are new and in the log.", new)
    there = ngettext("%(count)d was here already.", "%(count)d were here already.", known)
    return " ".join((brought % {"count": new}, there % {"count": known}))
