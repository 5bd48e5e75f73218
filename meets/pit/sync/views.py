"""What phones send, and the description of how: parse, call one function, answer."""

from datetime import datetime

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_variables

from meets.pit.keys.access import device_of, keep_cookie
from meets.pit.problems import NotUnderstood, Problem, answers
from meets.pit.sync.actions import NoSuchStream
from meets.pit.sync.actions import push as receive
from meets.pit.sync.bringers import MoreToSay, bringer_in, signed_by
from meets.pit.sync.coming_in import come_in, read_coming_in
from meets.pit.sync.contacts import contact as note_contact
from meets.pit.sync.contacts import read_contact
from meets.pit.sync.epochs import current_epoch
from meets.pit.sync.having import Have
from meets.pit.sync.message import MOST_BYTES, MOST_ENTRIES, Batch, read_batch
from meets.pit.sync.openapi import description


@sensitive_variables()
@answers("POST")
def join(request: HttpRequest) -> HttpResponse:
    said = read_coming_in(body_of(request))
    joined = come_in(said=said, address=request.META.get("REMOTE_ADDR", ""), now=timezone.now())
    device, meet = joined.device, joined.device.meet
    answer = JsonResponse(
        {
            "device": str(device.pk),
            "number": device.number,
            "token": joined.token,
            "official": device.official,
            "meet": {"id": meet.pk, "name": meet.name, "time_zone": meet.time_zone},
            "roles": device.key.roles,
            "sessions": [{"id": one.pk, "name": one.name, "pit": one.pit.name} for one in joined.sessions],
            "server_epoch": str(current_epoch()),
            "now": in_ms(timezone.now()),
        },
        status=201,
    )
    keep_cookie(request, answer, device, joined.token)
    return answer


@answers("POST")
def push(request: HttpRequest) -> HttpResponse:
    now = timezone.now()
    try:
        batch = batch_in(request)
    except (Problem, NotUnderstood):
        bringer_in(request, now)  # who is not let in is told so first
        raise
    claims = signed_by(request)
    own = claims is not None and claims.device == batch.device
    try:
        try:
            done = receive(batch=batch, bringer=claims if own else bringer_in(request, now), now=now)
        except MoreToSay:
            done = receive(batch=batch, bringer=bringer_in(request, now), now=now)
    except NoSuchStream as problem:
        raise Problem(404, str(problem)) from problem
    results = [{"id": r.id, "status": r.status, **({"says": r.says} if r.says else {})} for r in done.results]
    return JsonResponse(
        {
            "server_epoch": str(done.server_epoch),
            "now": in_ms(timezone.now()),
            "results": results,
            "have": have_plain(done.have),
        }
    )


@answers("POST")
def contact(request: HttpRequest) -> HttpResponse:
    caller = device_of(request)
    said = read_contact(body_of(request))
    if said.device != caller.device.pk:
        raise NotUnderstood("device", "the phone that the token was given to")
    answer = note_contact(said=said, caller=caller, now=timezone.now())
    return JsonResponse(
        {
            "server_epoch": str(answer.server_epoch),
            "now": in_ms(timezone.now()),
            "have": have_plain(answer.have),
            "versions": dict(answer.versions),
        }
    )


@answers("GET")
def openapi(request: HttpRequest) -> HttpResponse:
    return JsonResponse(description(), content_type="application/vnd.oai.openapi+json")


def batch_in(request: HttpRequest) -> Batch:
    batch = read_batch(body_of(request))
    if len(batch.entries) > MOST_ENTRIES:
        raise Problem(413, _("At most %(most)d entries at once.") % {"most": MOST_ENTRIES}, most_entries=MOST_ENTRIES)
    return batch


def body_of(request: HttpRequest) -> str:
    """The body as text; too long a one is not read."""
    length = request.META.get("CONTENT_LENGTH") or ""
    if (length.isdecimal() and int(length[:12]) > MOST_BYTES) or len(request.body) > MOST_BYTES:
        raise Problem(413, _("At most %(most)d KiB at once.") % {"most": MOST_BYTES // 1024}, most_bytes=MOST_BYTES)
    try:
        return request.body.decode()
    except UnicodeDecodeError as problem:
        raise NotUnderstood("", "a text in UTF-8") from problem


def have_plain(have: Have) -> dict[str, object]:
    return {"upto": have.upto, "holes": [list(hole) for hole in have.holes]}


def in_ms(at: datetime) -> int:
    """Milliseconds since 1970 UTC, as all times between phones and server are."""
    return int(at.timestamp() * 1000)
