"""Errors told to phones as problem details (RFC 9457): one form for all of them, one place that writes it."""

import logging
from collections.abc import Callable
from functools import wraps
from http import HTTPStatus

from django.core.exceptions import RequestDataTooBig
from django.db import DatabaseError, InterfaceError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils.translation import gettext as _

log = logging.getLogger(__name__)

TYPE = "application/problem+json"


class NotUnderstood(ValueError):
    """A request that is not what its address takes; `field` names what is wrong in it, '' the whole."""

    def __init__(self, field: str, expected: str) -> None:
        self.field, self.expected = field, expected
        super().__init__(f"{field}: {expected}")


class Problem(Exception):
    """Something that a request is answered with instead of what it asked for; `more` are fields of our own."""

    def __init__(self, status: int, detail: str, *, retry_after_s: int | None = None, **more: object) -> None:
        self.status, self.detail, self.retry_after_s, self.more = status, detail, retry_after_s, more
        super().__init__(detail)


def problem_answer(problem: Problem) -> HttpResponse:
    said = {
        "type": "about:blank",
        "title": HTTPStatus(problem.status).phrase,
        "status": problem.status,
        "detail": problem.detail,
        **problem.more,
    }
    answer = JsonResponse(said, status=problem.status, content_type=TYPE)
    if problem.retry_after_s is not None:
        answer["Retry-After"] = str(problem.retry_after_s)
    if problem.status == HTTPStatus.UNAUTHORIZED:
        answer["WWW-Authenticate"] = "Bearer"
    return answer


def answers(method: str) -> Callable[[Callable[..., HttpResponse]], Callable[..., HttpResponse]]:
    """A view for one method; what it cannot do becomes a problem, and what the database cannot do is no answer."""

    def decorate(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
        @wraps(view)
        def inside(request: HttpRequest, **parts: object) -> HttpResponse:
            try:
                if request.method != method:
                    raise Problem(405, _("This address takes %(method)s only.") % {"method": method})
                answer = view(request, **parts)
            except Problem as problem:
                answer = problem_answer(problem)
            except NotUnderstood as wrong:
                answer = problem_answer(_not_understood(wrong))
            except RequestDataTooBig:
                answer = problem_answer(Problem(413, _("This is too much at once. Send it in smaller parts.")))
            except (DatabaseError, InterfaceError) as trouble:
                log.warning("no answer to %s: %s", request.path, type(trouble).__name__)
                says = _("The server cannot store anything at the moment. Keep it and send it again.")
                answer = problem_answer(Problem(503, says, retry_after_s=5))
            if answer.status_code == HTTPStatus.METHOD_NOT_ALLOWED:
                answer["Allow"] = method
            answer["Cache-Control"] = "no-store"
            return answer

        # A phone shows its token in a header, which no other site can make a browser send.
        inside.csrf_exempt = True
        return inside

    return decorate


def _not_understood(wrong: NotUnderstood) -> Problem:
    if not wrong.field:
        return Problem(400, _("This is not what the address takes: expected is %(what)s.") % {"what": wrong.expected})
    says = _("%(field)s is not understood; expected is %(what)s.")
    return Problem(422, says % {"field": wrong.field, "what": wrong.expected}, field=wrong.field)
