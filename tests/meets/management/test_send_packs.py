"""`send_packs`: what has changed is made, what is in line and what failed is sent, and what is left is named."""

from io import StringIO

import pytest
from django.core.management import call_command

from meets.models import Mailing
from tests.meets.publishing.packs.days import PublishedDay

FILES = "meets.publishing.packs.mail_files.EmailBackend"


@pytest.fixture
def day(db, settings, tmp_path):
    settings.EMAIL_BACKEND, settings.EMAIL_FILE_PATH = FILES, tmp_path / "mail"
    return PublishedDay().all_results()


def run(*arguments):
    out = StringIO()
    with pytest.raises(SystemExit) as end:
        call_command("send_packs", *arguments, stdout=out, stderr=out)
    return end.value.code, out.getvalue()


def states():
    return sorted(Mailing.objects.values_list("state", flat=True))


def test_everything_is_made_and_sent_once(day, tmp_path):
    code, said = run("spring-jumps")
    assert (code, states()) == (0, ["sent"] * 3)
    assert said.startswith("3 new packs\n")
    assert len(list((tmp_path / "mail").iterdir())) == 3
    assert run("spring-jumps") == (0, "0 new packs\n")


def test_what_failed_is_sent_by_the_next_run(day, tmp_path):
    (tmp_path / "mail").write_text("a file is in the way")
    code, said = run("spring-jumps")
    assert (code, states()) == (1, ["failed", "waiting", "waiting"])
    assert said.count(": not sent\n") == 1
    (tmp_path / "mail").unlink()
    assert run("spring-jumps")[0] == 0
    assert states() == ["sent"] * 3


def test_it_tries_again_after_a_pause(day, tmp_path):
    (tmp_path / "mail").write_text("a file is in the way")
    code, _said = run("spring-jumps", "--retry", "2", "--pause", "0")
    assert (code, sorted(Mailing.objects.values_list("tries", flat=True))) == (1, [1, 1, 1])


def test_what_may_have_arrived_is_named_and_left_to_the_organiser(day):
    day.in_line()
    Mailing.objects.all().update(state="unsure")
    code, said = run("spring-jumps")
    assert (code, states()) == (0, ["unsure"] * 3)
    assert said.count(": may have arrived\n") == 3


def test_a_school_without_an_address_is_named(day):
    school = day.schools[0]
    school.contact_email = ""
    school.save()
    code, said = run("spring-jumps")
    assert code == 0
    assert f"{school.name}: no address known\n" in said


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("nowhere",), "MEET: there is no meet 'nowhere'; expected one of: spring-jumps"),
        (("spring-jumps", "--retry", "-1"), "--retry: -1 is below zero; expected how many"),
        (("spring-jumps", "--pause", "-5"), "--pause: -5 is below zero; expected how many"),
    ],
)
def test_what_is_wrong_is_refused_by_name(day, arguments, says):
    assert run(*arguments) == (2, f"{says}\n")


def test_team_standings_that_a_result_has_overtaken_are_named(day):
    day.standings((1, "16"), (2, "14"), (3, "12"))
    code, said = run("spring-jumps")
    assert (code, states()) == (0, ["sent"] * 3)
    assert (
        f"newest points of {', '.join(event.name for event in day.events)}: the packs give the old team place" in said
    )
