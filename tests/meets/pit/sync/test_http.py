"""The addresses as phones meet them: tokens, statuses, problem details."""

import json

import pytest
from django.db import OperationalError, connection
from django.urls import reverse

from meets.models import Delivery
from meets.pit.keys.tokens import token_of
from tests.factories import PitSessionFactory
from tests.meets.pit.sync.phone import Phone


@pytest.fixture
def post(client, phone):
    def post(name, body, *, token=None, **more):
        headers = {"Authorization": f"Bearer {token or token_of(phone.device)}"}
        return client.post(reverse(f"sync:{name}"), body, content_type="application/json", headers=headers, **more)

    return post


def is_problem(answer, status):
    assert (answer.status_code, answer["Content-Type"]) == (status, "application/problem+json")
    said = answer.json()
    assert (said["type"], said["status"], bool(said["title"]), bool(said["detail"])) == (
        "about:blank",
        status,
        True,
        True,
    )
    return said


def test_a_batch_is_answered(event, phone, post):
    said = phone.jump(event, "1", 1)
    phone.jump(event, "1", 8)
    answer = post("push", phone.text())
    assert (answer.status_code, answer["Content-Type"], answer["Cache-Control"]) == (
        200,
        "application/json",
        "no-store",
    )
    told = answer.json()
    assert set(told) == {"server_epoch", "now", "results", "have"}
    assert told["results"][0] == {"id": said["id"], "status": "stored"}
    assert told["results"][1]["says"] == "The event has only 6 rounds."
    assert (told["have"], type(told["now"])) == ({"upto": 2, "holes": []}, int)


def test_a_contact_is_answered(event, session, phone, post):
    phone.jump(event, "1", 1)
    said = {"device": str(phone.device.pk), "epoch": str(phone.epoch), "max_seq": 1, "unsent": 1}
    told = post("contact", json.dumps(said)).json()
    assert (told["have"], list(told["versions"])) == ({"upto": 0, "holes": [[1, 1]]}, [str(session.pk)])
    is_problem(post("contact", json.dumps({**said, "device": str(phone.epoch)})), 422)


def test_nobody_is_let_in_without_a_token(event, phone, post, client):
    phone.jump(event, "1", 1)
    answer = post("push", phone.text(), token="of mine")
    assert (is_problem(answer, 401)["revoked"], answer["WWW-Authenticate"]) == (False, "Bearer")
    is_problem(client.post(reverse("sync:push"), phone.text(), content_type="application/json"), 401)
    assert Delivery.objects.count() == 0


def test_a_phone_that_was_locked_out_is_told(event, phone, second, post):
    phone.jump(event, "1", 1)
    phone.device.revoked_at = phone.device.came_in_at
    phone.device.save()
    assert is_problem(post("push", phone.text()), 401)["revoked"] is True
    told = post("push", phone.text(), token=token_of(second.device)).json()
    assert [result["status"] for result in told["results"]] == ["needs_review"]


def test_a_key_whose_time_is_over_lets_entries_wait(event, phone, post):
    phone.jump(event, "1", 1)
    event.meet.date = event.meet.date.replace(year=2020)
    event.meet.save()
    told = post("push", phone.text()).json()
    assert told["results"][0]["says"] == "The key of this phone had ended when it came."


def test_a_phone_of_another_meet_is_not_known(event, phone, post):

    stranger = Phone(PitSessionFactory())
    stranger.jump(event, "1", 1)
    is_problem(post("push", stranger.text()), 404)


@pytest.mark.parametrize("body", ["", "[]", "{", '{"a":1} x', '{"a":NaN}', "[" * 50_000, '{"a":1,}', b"\xff\xfe"])
def test_a_body_that_is_no_json_object(post, body, db):
    is_problem(post("push", body), 400)


@pytest.mark.parametrize(
    "wrong",
    [
        {"device": 7},
        {"device": "ABC"},
        {"epoch": None},
        {"max_seq": -1},
        {"max_seq": 2**31},
        {"entries": 7},
        {"entries": [7]},
    ],
)
def test_a_field_that_is_none(phone, post, wrong):
    said = {"device": str(phone.device.pk), "epoch": str(phone.epoch), "max_seq": 0, "entries": []}
    assert post("push", json.dumps(said)).status_code == 200
    assert is_problem(post("push", json.dumps({**said, **wrong})), 422)["field"] == next(iter(wrong))


def test_too_much_at_once_is_refused_whole(event, phone, post):
    for n in range(51):
        phone.jump(event, "1", 1, 400 + n)
    assert is_problem(post("push", phone.text()), 413)["most_entries"] == 50
    assert is_problem(post("push", phone.text() + " " * 65_536), 413)["most_bytes"] == 65_536
    assert Delivery.objects.count() == 0
    assert post("push", phone.text(*phone.said[:50])).status_code == 200


@pytest.mark.parametrize("name", ["push", "contact", "openapi"])
def test_another_method_is_refused_with_the_right_one(client, db, name):
    answer = client.put(reverse(f"sync:{name}"))
    is_problem(answer, 405)
    assert answer["Allow"] == ("GET" if name == "openapi" else "POST")


@pytest.mark.parametrize("what", ["phone", "key"])
def test_who_is_locked_out_is_told_with_the_next_push(event, phone, post, what):
    phone.jump(event, "1", 1)
    assert post("push", phone.text()).status_code == 200
    out = phone.device if what == "phone" else phone.device.key
    out.revoked_at = phone.device.came_in_at
    out.save()
    phone.jump(event, "1", 2)
    assert is_problem(post("push", phone.text()), 401)["revoked"] is True
    assert is_problem(post("push", "{"), 401)["revoked"] is True
    assert Delivery.objects.count() == 1


def test_what_the_database_cannot_do_is_no_answer(event, phone, post):
    phone.jump(event, "1", 1)

    def full(execute, sql, params, many, context):
        if "meets_logrow (" in sql or "EXECUTE row_appended" in sql:
            raise OperationalError("database or disk is full")
        return execute(sql, params, many, context)

    with connection.execute_wrapper(full):
        answer = post("push", phone.text())
    assert (is_problem(answer, 503)["status"], answer["Retry-After"]) == (503, "5")
    assert "results" not in answer.json()
    assert (Delivery.objects.count(), event.log.count()) == (0, 1)
    assert post("push", phone.text()).json()["results"][0]["status"] == "stored"
