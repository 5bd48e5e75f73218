"""A file from upload over check to store."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.http import content_disposition_header
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from athletes.reading.opening import LARGEST_BYTES
from athletes.reading.table import Unreadable
from meets.entries import actions, reads, report
from meets.entries.columns import HEADINGS, Field
from meets.entries.file import accepting, uploads
from meets.entries.forms import AcceptForm, UploadForm
from meets.entries.in_meet import in_meet
from meets.entries.outcome import CheckedFile, Verdict
from meets.entries.tables import CheckedTable
from meets.models import Meet

USUAL_HEADINGS = [*list(HEADINGS.values())[:10], HEADINGS[Field.NOT_PUBLIC]]


@in_meet
@require_http_methods(["GET", "POST"])
def upload(request: HttpRequest, meet: Meet) -> HttpResponse:
    form = UploadForm(request.POST, request.FILES) if request.method == "POST" else UploadForm()
    if form.is_valid():
        file = form.cleaned_data["file"]
        name, data, now = uploads.tidy_file_name(file.name), file.read(LARGEST_BYTES + 1), timezone.now()
        try:
            reads.check_upload(meet, name, data, now=now)
        except Unreadable as problem:
            form.add_error("file", str(problem))
        else:
            token = uploads.keep(request.session, meet_pk=meet.pk, name=name, data=data, now=now)
            return redirect("entries:check", meet.slug, token)
    return render(
        request,
        "desk/entries_upload.html",
        {"meet": meet, "form": form, "headings": USUAL_HEADINGS},
        status=422 if form.errors else 200,
    )


@in_meet
@require_GET
def empty(request: HttpRequest, meet: Meet) -> HttpResponse:
    name = _("%(meet)s entries.csv") % {"meet": meet.name}
    headers = {"Content-Disposition": content_disposition_header(True, name)}
    data = report.empty_file(USUAL_HEADINGS)
    return HttpResponse(data, content_type="text/csv; charset=utf-8", headers=headers)


@in_meet
@require_GET
def check(request: HttpRequest, meet: Meet, token: str) -> HttpResponse:
    kept = uploads.find(request.session, meet_pk=meet.pk, token=token)
    if kept is None:
        return gone(request, meet)
    if kept.stored is not None:
        return redirect("entries:stored", meet.slug, token)
    checked = reads.check_upload(meet, kept.name, kept.data, now=timezone.now())
    return check_page(request, meet, token, checked, AcceptForm(request.GET))


@in_meet
@require_POST
def accept(request: HttpRequest, meet: Meet, token: str) -> HttpResponse:
    kept = uploads.find(request.session, meet_pk=meet.pk, token=token)
    if kept is None:
        return gone(request, meet)
    if kept.stored is not None:
        return redirect("entries:stored", meet.slug, token)
    form, now = AcceptForm(request.POST), timezone.now()
    if form.is_valid():
        try:
            accepted = accepting.accept_upload(
                meet=meet, name=kept.name, data=kept.data, by=request.user.get_username(), now=now, **form.cleaned_data
            )
        except actions.Refused as problem:
            form.add_error(None, str(problem))
        else:
            keep_problems(request, token, accepted)
            return redirect("entries:stored", meet.slug, token)
    checked = reads.check_upload(meet, kept.name, kept.data, now=now)
    return check_page(request, meet, token, checked, form, status=422)


def keep_problems(request: HttpRequest, token: str, accepted: accepting.Accepted) -> None:
    lines = accepted.imported.lines
    uploads.finish(
        request.session,
        token=token,
        problems=report.problems_csv(accepted.checked, lines),
        stored=accepted.imported.stored,
        athletes_added=accepted.imported.athletes_added,
        left=len(report.problem_lines(accepted.checked, lines)),
    )


def check_page(
    request: HttpRequest, meet: Meet, token: str, checked: CheckedFile, form: AcceptForm, status: int = 200
) -> HttpResponse:
    form.is_valid()
    said = getattr(form, "cleaned_data", {})
    verdict, school = said.get("verdict", ""), said.get("school", "")
    lines = reads.chosen_by(checked, verdict, school)
    groups = [(group, checked_table(group, form)) for group in reads.groups_of(lines, meet.unit)]
    return render(
        request,
        "desk/entries_check.html",
        {
            "meet": meet,
            "token": token,
            "checked": checked,
            "counts": reads.counts_of(checked),
            "schools": reads.schools_of(checked),
            "groups": groups,
            "verdict": verdict,
            "school": school,
            "ready": reads.ready(lines),
            "asked": reads.asked(lines),
            "wrong": form.non_field_errors() if status != 200 else [],
        },
        status=status,
    )


def checked_table(group: reads.Group, form: AcceptForm) -> CheckedTable:
    said = getattr(form, "cleaned_data", {})
    match group.verdict:
        case Verdict.ASKED:
            boxes = {"field": "consented", "choice_label": _("Store it")}
        case Verdict.ACCEPTED | Verdict.ADVICE:
            boxes = {"field": "left_out", "choice_label": _("Leave out")}
        case _:
            boxes = {}
    ticked = said.get(boxes.get("field", ""), frozenset())
    leave = () if any(line.reasons for line in group.lines) else ("reasons",)
    if group.verdict in (Verdict.REFUSED, Verdict.REPEAT):
        leave = (*leave, "year", "string", "best", "board")
    return CheckedTable(group.lines, ticked=ticked, leave=leave, **boxes)


@in_meet
@require_POST
def schools(request: HttpRequest, meet: Meet, token: str) -> HttpResponse:
    kept = uploads.find(request.session, meet_pk=meet.pk, token=token)
    if kept is None or kept.stored is not None:
        return gone(request, meet)
    now = timezone.now()
    checked = reads.check_upload(meet, kept.name, kept.data, now=now)
    chosen = [school for school in checked.new_schools if school.code in request.POST.getlist("code")]
    added = actions.add_schools(schools=chosen, by=request.user.get_username(), now=now)
    says = ngettext("%(count)s school is added.", "%(count)s schools are added.", added)
    messages.success(request, says % {"count": added})
    return redirect("entries:check", meet.slug, token)


@in_meet
@require_POST
def forget(request: HttpRequest, meet: Meet, token: str) -> HttpResponse:
    uploads.forget(request.session, token=token)
    messages.info(request, _("The file is removed. Nothing of it was stored."))
    return redirect("entries:upload", meet.slug)


@in_meet
@require_GET
def problems(request: HttpRequest, meet: Meet, token: str) -> HttpResponse:
    kept = uploads.find(request.session, meet_pk=meet.pk, token=token)
    if kept is None:
        return gone(request, meet)
    data = kept.data
    if kept.stored is None:
        data = report.problems_csv(reads.check_upload(meet, kept.name, kept.data, now=timezone.now()))
    stem = kept.name.rsplit(".", 1)[0]
    name = _("%(file)s problems.csv") % {"file": stem}
    headers = {"Content-Disposition": content_disposition_header(True, name), "Cache-Control": "private, no-store"}
    return HttpResponse(data, content_type="text/csv; charset=utf-8", headers=headers)


@in_meet
@require_GET
def stored(request: HttpRequest, meet: Meet, token: str) -> HttpResponse:
    kept = uploads.find(request.session, meet_pk=meet.pk, token=token)
    if kept is None or kept.stored is None:
        return gone(request, meet)
    return render(
        request,
        "desk/entries_stored.html",
        {"meet": meet, "token": token, "kept": kept, "summary": reads.summary_of(meet)},
    )


def gone(request: HttpRequest, meet: Meet) -> HttpResponse:
    messages.warning(request, _("That file is no longer kept here. Choose it again; nothing was lost or stored."))
    return redirect("entries:upload", meet.slug)
