"""Pages of standards and of the next meet."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from athletes.reading.opening import LARGEST_BYTES
from athletes.reading.table import Unreadable
from meets.desk.records import standards_reads as reads
from meets.desk.records.next_meet_form import NextMeetForm
from meets.desk.records.standards_form import StandardsFileForm, StandardsForm
from meets.desk.records.tables import QualifiersTable
from meets.entries.file.uploads import tidy_file_name
from meets.entries.in_meet import in_meet
from meets.entries.seen import held, one_at_a_time
from meets.models import Meet, NextMeet
from meets.records import actions
from meets.records.standard_file import problems_in_words, read_file
from meets.records.standard_lines import Given
from meets.running.refusals import Refusal


@in_meet
@require_http_methods(["GET", "POST"])
@one_at_a_time
def standards(request: HttpRequest, meet: Meet) -> HttpResponse:
    """All standards of the meet as one table to type in."""
    form = StandardsForm(request.POST if request.method == "POST" else None, meet=held(request, meet))
    if form.is_valid():
        if not (refused := _refused(request, meet, form.given, keep_others=False)):
            return redirect("desk:standards", meet.slug)
        form.add_error(None, refused)
    context = {"meet": meet, "form": form}
    return render(request, "desk/records_standards.html", context, status=422 if form.errors else 200)


@in_meet
@require_http_methods(["GET", "POST"])
@one_at_a_time
def standards_file(request: HttpRequest, meet: Meet) -> HttpResponse:
    """Standards from a file: nothing is stored unless every line of it is right."""
    posted = request.method == "POST"
    form = StandardsFileForm(request.POST, request.FILES) if posted else StandardsFileForm()
    problems: list[str] = []
    if form.is_valid():
        file = form.cleaned_data["file"]
        name = tidy_file_name(file.name)
        try:
            given = read_file(name, file.read(LARGEST_BYTES + 1), held(request, meet))
        except Unreadable as refused:
            form.add_error("file", str(refused))
        else:
            problems = problems_in_words(given, name) or ([] if given.standards else [_("There is no standard in it.")])
            if not problems:
                if not (refused := _refused(request, meet, given, keep_others=not form.cleaned_data["replace"])):
                    return redirect("desk:standards", meet.slug)
                problems = [refused]
    context = {"meet": meet, "form": form, "problems": problems, "example": reads.example_of(meet)}
    return render(request, "desk/records_standards_file.html", context, status=422 if form.errors or problems else 200)


def _refused(request: HttpRequest, meet: Meet, given: Given, *, keep_others: bool) -> str:
    """Store the standards and say so; why not, if they are refused."""
    try:
        done = actions.store_standards(meet=meet, given=given.standards, keep_others=keep_others)
    except Refusal as refused:
        return str(refused)
    counts = {"added": done.added, "changed": done.changed, "removed": done.removed}
    messages.success(request, _("Stored: %(added)d new, %(changed)d changed, %(removed)d removed.") % counts)
    for warning in given.warnings:
        messages.warning(request, warning)
    return ""


@in_meet
@require_http_methods(["GET", "POST"])
@one_at_a_time
def next_meet(request: HttpRequest, meet: Meet) -> HttpResponse:
    """Where the best go on to, how they qualify, and who has so far."""
    held(request, meet)
    found = reads.next_meet_of(meet) or NextMeet(meet=meet)
    form = NextMeetForm(request.POST if request.method == "POST" else None, instance=found)
    if form.is_valid():
        actions.store_next_meet(following=form.save(commit=False))
        messages.success(request, _("The next meet is stored."))
        return redirect("desk:next_meet", meet.slug)
    going = reads.going_on(meet)
    schools = [(own[0].school, QualifiersTable(own)) for own in going.schools.values()] if going else []
    context = {"meet": meet, "form": form, "going": going, "schools": schools, "stored": found.pk is not None}
    return render(request, "desk/records_next_meet.html", context, status=422 if form.errors else 200)


@in_meet
@require_POST
def forget_next_meet(request: HttpRequest, meet: Meet) -> HttpResponse:
    actions.forget_next_meet(meet=meet)
    messages.success(request, _("Nobody goes on from this meet now."))
    return redirect("desk:next_meet", meet.slug)
