"""Pages of the entries: the list, one entry, a new one, bibs."""

from collections.abc import Callable

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST
from django_tables2 import RequestConfig

from meets.entries import actions, reads
from meets.entries.filters import EntryFilter
from meets.entries.forms import EntryForm, NewEntryForm, StatusForm, WordsForm
from meets.entries.in_meet import in_meet
from meets.entries.outcome import Verdict
from meets.entries.seen import held, one_at_a_time
from meets.entries.tables import EntryTable
from meets.models import Entry, Meet

MOST_FOUND = 200


@in_meet
@require_http_methods(["GET", "POST"])
def entries(request: HttpRequest, meet: Meet) -> HttpResponse:
    """The list. Whoever is looked for by name is asked for by POST: an address is kept in logs and histories."""
    narrowed = EntryFilter(request.GET, reads.entries_of_meet(meet), meet=meet)
    form = WordsForm(posted(request))
    words = form.cleaned_data["words"] if form.is_valid() else ""
    found = reads.with_words(narrowed.qs, words)
    count = found.count()
    if words:
        table = EntryTable(found[:MOST_FOUND], meet=meet, orderable=False)
    else:
        table = RequestConfig(request, paginate={"per_page": 100}).configure(EntryTable(found, meet=meet))
    context = {"filter": narrowed, "words": form, "looked_for": words, "count": count, "most": MOST_FOUND}
    return render(
        request,
        "desk/entries_list.html",
        {"meet": meet, "table": table, "summary": reads.summary_of(meet), **context},
        status=422 if form.errors else 200,
    )


@in_meet
@require_http_methods(["GET", "POST"])
def new(request: HttpRequest, meet: Meet) -> HttpResponse:
    form = NewEntryForm(posted(request), meet=meet)
    asked = False
    if form.is_valid():
        added = actions.add_entry(
            meet=meet,
            values=form.values(),
            accept_warnings=form.cleaned_data["consent"],
            by=request.user.get_username(),
            now=timezone.now(),
        )
        if added.entry is not None:
            messages.success(request, _("%(name)s is entered in %(event)s.") % vars_of(added.entry))
            return redirect("entries:new" if "another" in request.POST else "entries:list", meet.slug)
        asked = added.line.verdict is Verdict.ASKED
        form.say(added.line.reasons)
    return render(
        request,
        "desk/entries_new.html",
        {"meet": meet, "form": form, "asked": asked},
        status=422 if form.errors else 200,
    )


@in_meet
@require_http_methods(["GET", "POST"])
@one_at_a_time
def entry(request: HttpRequest, meet: Meet, entry_id: int) -> HttpResponse:
    found = held_entry(request, meet, entry_id)
    form = EntryForm(posted(request), instance=found)
    if form.is_valid():
        changes, of_athlete = form.changes()
        try:
            actions.change_entry_and_athlete(
                entry=found,
                changes=changes,
                of_athlete=of_athlete,
                by=request.user.get_username(),
                now=timezone.now(),
            )
        except ValidationError as problem:
            form.add_error(None, problem)
        else:
            messages.success(request, _("The entry of %(name)s is changed.") % {"name": found.athlete})
            return redirect("entries:list", meet.slug)
    context = {"entry": found, "form": form, "status_form": StatusForm(entry=found), "drawn": reads.has_log(found)}
    return render(request, "desk/entries_change.html", {"meet": meet, **context}, status=422 if form.errors else 200)


@in_meet
@require_POST
@one_at_a_time
def withdraw(request: HttpRequest, meet: Meet, entry_id: int) -> HttpResponse:
    done = _("%(name)s is withdrawn from %(event)s.")
    return other_status(request, held_entry(request, meet, entry_id), actions.withdraw_entry, done)


@in_meet
@require_POST
@one_at_a_time
def restore(request: HttpRequest, meet: Meet, entry_id: int) -> HttpResponse:
    done = _("%(name)s is entered in %(event)s again.")
    return other_status(request, held_entry(request, meet, entry_id), actions.restore_entry, done)


def other_status(request: HttpRequest, found: Entry, change: Callable[..., Entry], done: str) -> HttpResponse:
    """The page of the entry again, with what was done or why not."""
    form = StatusForm(request.POST, entry=found)
    if form.is_valid():
        try:
            change(entry=found, by=request.user.get_username(), now=timezone.now())
            messages.success(request, done % vars_of(found))
        except actions.Refused as problem:
            messages.error(request, str(problem))
    else:
        messages.error(request, " ".join(form.non_field_errors()))
    return redirect("entries:entry", found.event.meet.slug, found.pk)


@in_meet
@require_POST
def bibs(request: HttpRequest, meet: Meet) -> HttpResponse:
    given = actions.assign_bibs(meet=meet).given
    says = ngettext("%(count)s entry has got its bib.", "%(count)s entries have got their bibs.", given)
    messages.success(request, says % {"count": given})
    return redirect("entries:list", meet.slug)


def held_entry(request: HttpRequest, meet: Meet, entry_id: int) -> Entry:
    """Where something is sent, meet and athlete are kept from others: in this order, as whoever reads a file does."""
    held(request, meet)
    found = entry_or_404(meet, entry_id)
    found.athlete = held(request, found.athlete)
    return found


def entry_or_404(meet: Meet, entry_id: int) -> Entry:
    found = reads.entry_of(meet, entry_id)
    if found is None:
        raise Http404
    return found


def vars_of(found: Entry) -> dict[str, object]:
    return {"name": found.athlete, "event": found.event}


def posted(request: HttpRequest) -> QueryDict | None:
    """What was sent, also when it was nothing."""
    return request.POST if request.method == "POST" else None
