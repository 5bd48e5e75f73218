"""The product with points where it dies, as a request asks for: for tests only, the product itself has none.

The header `X-Crash` names the point; with `X-Crash-All` the whole group of processes dies, else the one that answers.
"""

import os
import random
import signal
import threading

from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.backends.signals import connection_created

from meets.wsgi import application as product
from tests.faults.crashing_points import AFTER_COMMIT, ANYWHERE, BEFORE_COMMIT, MID_ANSWER

LONGEST_PUSH_S = 0.02
_asked = threading.local()
_commit = BaseDatabaseWrapper._commit


def _die(everybody: bool) -> None:
    if everybody:
        os.killpg(os.getpgid(0), signal.SIGKILL)
    os.kill(os.getpid(), signal.SIGKILL)
    threading.Event().wait()


def _crashing_commit(self):
    at, everybody = getattr(_asked, "at", ""), getattr(_asked, "everybody", False)
    if at == BEFORE_COMMIT:
        _die(everybody)
    done = _commit(self)
    if at == AFTER_COMMIT:
        _die(everybody)
    return done


BaseDatabaseWrapper._commit = _crashing_commit

if os.environ.get("FAULTS_SYNCHRONOUS"):

    def _less_safe(connection, **about):
        connection.cursor().execute(f"PRAGMA synchronous={os.environ['FAULTS_SYNCHRONOUS']}")

    connection_created.connect(_less_safe)


def application(environ, start_response):
    _asked.at, _asked.everybody = environ.get("HTTP_X_CRASH", ""), "HTTP_X_CRASH_ALL" in environ
    if _asked.at == ANYWHERE:
        threading.Timer(random.uniform(0, LONGEST_PUSH_S), _die, [_asked.everybody]).start()
    answer = product(environ, start_response)
    return _half(b"".join(answer), _asked.everybody) if _asked.at == MID_ANSWER else answer


def _half(body: bytes, everybody: bool):
    yield body[: len(body) // 2]
    _die(everybody)
