"""Settings of the mail server: read from the environment, refused by name where they are wrong."""

import os
import subprocess
import sys

import pytest

ASKS = (
    "from meets import settings as s; "
    "print(s.EMAIL_BACKEND.split('.')[-2], s.EMAIL_HOST, s.EMAIL_PORT, s.EMAIL_USE_TLS, s.EMAIL_USE_SSL)"
)


def asked(tmp_path, **values):
    mail = {f"NEAREST_BREAK_MAIL_{name}": value for name, value in values.items()}
    clean = {name: value for name, value in os.environ.items() if not name.startswith("NEAREST_BREAK_MAIL_")}
    env = {**clean, "NEAREST_BREAK_DATA": str(tmp_path), **mail}
    return subprocess.run([sys.executable, "-c", ASKS], env=env, capture_output=True, text=True, check=False)


FROM = {"FROM": "jumps@example.org"}


@pytest.mark.once
@pytest.mark.parametrize(
    ("values", "read"),
    [
        ({}, "mail_files  587 True False"),
        ({"SERVER": "smtp.example.org", **FROM}, "mail_server smtp.example.org 587 True False"),
        (
            {"SERVER": "smtp.example.org:2525", "SECURITY": "none", **FROM},
            "mail_server smtp.example.org 2525 False False",
        ),
        ({"SERVER": "smtp.example.org", "SECURITY": "TLS", **FROM}, "mail_server smtp.example.org 465 False True"),
    ],
)
def test_settings_are_read(tmp_path, values, read):
    assert asked(tmp_path, **values).stdout.strip() == read


@pytest.mark.once
@pytest.mark.parametrize(
    ("values", "says"),
    [
        ({"SECURITY": "ssl"}, "NEAREST_BREAK_MAIL_SECURITY='ssl' is not understood; allowed: starttls, tls, none"),
        ({"SERVER": "smtp.example.org:many", **FROM}, "NEAREST_BREAK_MAIL_SERVER='smtp.example.org:many' is not"),
        ({"SERVER": "smtp.example.org"}, "NEAREST_BREAK_MAIL_FROM='' is no address"),
    ],
)
def test_a_wrong_setting_is_refused_by_name(tmp_path, values, says):
    ran = asked(tmp_path, **values)
    assert ran.returncode
    assert says in ran.stderr
