"""Pages of record books and claims."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.http import content_disposition_header
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from meets.desk.records import claim_reads, reads
from meets.desk.records.forms import BookForm, ClaimForm, RecordForm, TakeOutForm
from meets.desk.records.tables import BooksTable, ClaimsTable, LinesTable
from meets.entries.in_meet import in_meet
from meets.entries.seen import held, one_at_a_time
from meets.models import Meet, Record, RecordBook, RecordClaim
from meets.records import actions
from meets.running.refusals import Refusal
from meets.sheets import printing


@in_meet
@require_GET
def records(request: HttpRequest, meet: Meet) -> HttpResponse:
    """Claims of the meet and the books it uses."""
    page = reads.records_page(meet)
    context = {
        "meet": meet,
        "page": page,
        "claims": ClaimsTable(page.claims, meet=meet),
        "books": BooksTable(page.books, meet=meet),
    }
    return render(request, "desk/records.html", context)


@in_meet
@require_POST
def renew_claims(request: HttpRequest, meet: Meet) -> HttpResponse:
    """Every event's claims brought to how its result stands."""
    now, by = timezone.now(), request.user.get_username()
    done = [actions.claims_from(event, now, by) for event in meet.events.select_related("meet")]
    made, off = sum(len(one.made) for one in done), sum(len(one.withdrawn) for one in done)
    says = ngettext("%(count)d claim is put forward.", "%(count)d claims are put forward.", made) % {"count": made}
    if off:
        gone = ngettext("%(count)d claim is withdrawn.", "%(count)d claims are withdrawn.", off) % {"count": off}
        says = f"{says} {gone}"
    messages.success(request, says)
    return redirect("desk:records", meet.slug)


@in_meet
@require_http_methods(["GET", "POST"])
@one_at_a_time
def book_form(request: HttpRequest, meet: Meet, book_id: int | None = None) -> HttpResponse:
    found = held(request, get_object_or_404(RecordBook, pk=book_id, meets=meet)) if book_id else None
    form = BookForm(request.POST if request.method == "POST" else None, instance=found, meet=meet)
    if form.is_valid():
        book = actions.store_book(book=form.save(commit=False), meet=meet)
        messages.success(request, _("%(name)s is stored.") % {"name": book})
        return redirect("desk:record_book", meet.slug, book.pk)
    context = {"meet": meet, "form": form, "book": found}
    return render(request, "desk/records_book_form.html", context, status=422 if form.errors else 200)


@in_meet
@require_GET
def book(request: HttpRequest, meet: Meet, book_id: int) -> HttpResponse:
    found = _book(meet, book_id)
    table = LinesTable(reads.book_lines(found), meet=meet, book_id=found.pk)
    context = {"meet": meet, "book": found, "table": table, "keeps": reads.what_it_keeps(found)}
    return render(request, "desk/records_book.html", context)


def _book(meet: Meet, book_id: int) -> RecordBook:
    return get_object_or_404(RecordBook, pk=book_id, meets=meet)


@in_meet
@require_POST
def use_book(request: HttpRequest, meet: Meet) -> HttpResponse:
    """A book of other years is used at this meet from now on, or no longer."""
    sent = request.POST.get("book", "")
    found = get_object_or_404(RecordBook, pk=int(sent) if sent.isascii() and sent.isdigit() else 0)
    used = request.POST.get("used") == "yes"
    try:
        actions.use_book(book=found, meet=meet, used=used)
    except Refusal as refused:
        messages.error(request, str(refused))
        return redirect("desk:record_book", meet.slug, found.pk)
    says = _("%(name)s is used at this meet.") if used else _("%(name)s is no longer used at this meet.")
    messages.success(request, says % {"name": found})
    return redirect("desk:records", meet.slug)


@in_meet
@require_http_methods(["GET", "POST"])
def new_record(request: HttpRequest, meet: Meet, book_id: int) -> HttpResponse:
    found = _book(meet, book_id)
    form = RecordForm(request.POST if request.method == "POST" else None, book=found, meet=meet)
    if form.is_valid():
        actions.add_record(record=form.save(commit=False), by=request.user.get_username())
        messages.success(request, _("The record is in the book."))
        return redirect("desk:record_book", meet.slug, found.pk)
    context = {"meet": meet, "book": found, "form": form}
    return render(request, "desk/records_line_form.html", context, status=422 if form.errors else 200)


@in_meet
@require_http_methods(["GET", "POST"])
def take_out_record(request: HttpRequest, meet: Meet, book_id: int, record_id: int) -> HttpResponse:
    record = get_object_or_404(Record, pk=record_id, book=_book(meet, book_id))
    form = TakeOutForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        now, by = timezone.now(), request.user.get_username()
        try:
            actions.take_out_record(record=record, by=by, now=now, **form.cleaned_data)
        except Refusal as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, _("The record is taken out; the one before it stands again."))
            return redirect("desk:record_book", meet.slug, book_id)
    context = {"meet": meet, "book": record.book, "line": reads.line_of(record), "form": form}
    return render(request, "desk/records_take_out.html", context, status=422 if form.errors else 200)


@in_meet
@require_http_methods(["GET", "POST"])
@one_at_a_time
def claim(request: HttpRequest, meet: Meet, claim_id: int) -> HttpResponse:
    """What was jumped, what has to be confirmed, and the decision."""
    found = _claim(meet, claim_id)
    held(request, found)
    form = ClaimForm(request.POST if request.method == "POST" else None, claim=found)
    if form.is_valid():
        now, by = timezone.now(), request.user.get_username()
        try:
            record = actions.decide_claim(claim=found, by=by, now=now, **form.decided())
        except Refusal as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, _("The record is in the book.") if record else _("The claim is refused."))
            return redirect("desk:claim", meet.slug, found.pk)
    context = {"meet": meet, "claim": found, "page": claim_reads.claim_page(found), "form": form}
    return render(request, "desk/records_claim.html", context, status=422 if form.errors else 200)


def _claim(meet: Meet, claim_id: int) -> RecordClaim:
    found = claim_reads.claim_of(meet, claim_id)
    if found is None:
        raise Http404
    return found


@in_meet
@require_GET
def claim_form(request: HttpRequest, meet: Meet, claim_id: int) -> HttpResponse:
    sheet = claim_reads.claim_sheet(_claim(meet, claim_id), timezone.now())
    name = printing.safe_name((sheet.about.event, _("record claim"), claim_id), ".pdf")
    headers = {"Content-Disposition": content_disposition_header(False, name), "Cache-Control": "private, no-store"}
    return HttpResponse(printing.claim_form(sheet), content_type="application/pdf", headers=headers)
