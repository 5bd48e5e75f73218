"""What is documented: settings, commands, rules, public names of `scoring`; and that README's lines are what runs."""

import importlib
import inspect
import os
import pkgutil
import re
import shlex
import subprocess
from pathlib import Path

import pytest
from django.core.management import get_commands, load_command_class
from django.urls import reverse
from django.utils.html import escape

import scoring
from meets.desk.rules.reads import UNCHANGED, source_in_words
from scoring.rulesets import RULE_SETS, rules
from tests.factories import MeetFactory

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
CI = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
SETTINGS = (ROOT / "meets" / "settings.py").read_text(encoding="utf-8")
COMMANDS = sorted(name for name, app in get_commands().items() if app == "meets")
MODULES = [importlib.import_module(f"scoring.{module.name}") for module in pkgutil.iter_modules(scoring.__path__)]


def code_lines(text: str) -> list[str]:
    return [line for block in re.findall(r"```sh\n(.*?)```", text, re.DOTALL) for line in block.splitlines()]


def test_the_settings_in_the_readme_are_those_that_are_read():
    read = set(re.findall(r'"(NEAREST_BREAK_[A-Z_]+|DATABASE_URL)"', SETTINGS))
    listed = set(re.findall(r"^\| `([A-Z_]+)` \|", README, re.MULTILINE))
    assert listed == read


def test_the_commands_in_the_map_are_those_that_exist():
    listed = re.findall(
        r"^\| `([a-z_]+)` \|", DEVELOPERS.partition("| command |")[2].partition("\n\n")[0], re.MULTILINE
    )
    assert sorted(listed) == COMMANDS


@pytest.mark.parametrize("name", COMMANDS)
def test_a_command_says_what_it_does_and_what_it_takes(name):
    parser = load_command_class("meets", name).create_parser("manage.py", name)
    assert parser.description
    own = [action for action in parser._actions if action.dest not in BASE_OPTIONS]
    assert [action.dest for action in own if not action.help and not action.choices] == []


BASE_OPTIONS = {
    *("help", "version", "verbosity", "settings", "pythonpath", "traceback", "no_color", "force_color"),
    "skip_checks",
}


def test_the_readme_begins_with_the_job_and_the_two_commands():
    title, job, *_ = README.split("\n\n")
    assert title == "# Nearest Break"
    assert job.startswith("Nearest Break runs an interschool long jump and triple jump meet")
    first, second = code_lines(README)[:2]
    assert first.endswith("manage.py demo")
    assert second.endswith("-m pytest")


def test_ci_runs_the_test_line_of_the_readme(tmp_path):
    """The script picks the line out of README.md itself; here the same pick is made."""
    pick = re.search(r"test_line=\$\((.*)\)", CI)[1]
    picked = subprocess.run(["bash", "-c", pick], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    assert picked.splitlines() == [code_lines(README)[1]]


@pytest.mark.parametrize("line", code_lines(README)[:2])
def test_the_lines_make_their_environment_once(line, tmp_path):
    """Run with programs that only say that they were called: first without, then with an environment."""
    says = '#!/bin/sh\necho "$(basename "$0") $*" >> calls\n'
    fake_python = tmp_path / "bin" / "python3"
    fake_python.parent.mkdir()
    makes = 'test "$2" != venv || { mkdir -p .venv/bin; cp "$0" .venv/bin/pip; cp "$0" .venv/bin/python; }\n'
    fake_python.write_text(says + makes, encoding="ascii")
    fake_python.chmod(0o755)
    path = f"{fake_python.parent}:{os.environ['PATH']}"
    for _ in range(2):
        subprocess.run(["sh", "-euc", line], cwd=tmp_path, env={"PATH": path}, check=True)
    calls = (tmp_path / "calls").read_text(encoding="ascii").splitlines()
    install, run = (" ".join(shlex.split(part)[1:]) for part in line.split(" && ")[-2:])
    assert calls == ["python3 -m venv .venv", *[f"pip {install}", f"python {run}"] * 2]


def test_every_module_of_scoring_is_on_the_map():
    on_the_map = set(re.findall(r"`(\w+)`", DEVELOPERS.partition("**`scoring/`**")[2].partition("**`meets/`**")[0]))
    assert {module.__name__.rpartition(".")[2] for module in MODULES} - on_the_map == set()


def test_every_rule_has_its_sentence_its_unit_and_its_source():
    lacking = [rule.name for rule in rules() if not (rule.unit and rule.source and rule.says.endswith("."))]
    assert lacking == []


def test_every_rule_is_explained_where_it_can_be_changed(desk_client):
    page = desk_client.get(reverse("desk:rules", args=[MeetFactory().slug])).text
    shown = [rule for rule in rules() if rule.name not in UNCHANGED]
    assert [rule.name for rule in shown if escape(rule.says) not in page] == []
    assert [rule.name for rule in shown if escape(source_in_words(rule.source)) not in page] == []


def test_every_rule_set_can_be_chosen(desk_client):
    page = desk_client.get(reverse("desk:new_meet")).text
    assert [rule_set.title for rule_set in RULE_SETS.values() if escape(rule_set.title) not in page] == []


PUBLIC = [
    (f"{module.__name__.rpartition('.')[2]}.{name}", value)
    for module in MODULES
    for name, value in vars(module).items()
    if not name.startswith("_") and getattr(value, "__module__", None) == module.__name__
]


@pytest.mark.parametrize("value", [pytest.param(value, id=name) for name, value in PUBLIC])
def test_what_scoring_offers_is_documented(value):
    if inspect.isfunction(value) or inspect.isclass(value):
        generated = value.__doc__ and value.__doc__.startswith(f"{value.__name__}(")
        assert value.__doc__
        assert not generated


def test_the_public_names_are_there():
    assert len(set(scoring.__all__)) == len(scoring.__all__) > 0
    assert [name for name in scoring.__all__ if not hasattr(scoring, name)] == []


@pytest.mark.parametrize("name", getattr(scoring, "__all__", []))
def test_a_public_function_shows_how_it_is_used(name):
    value = getattr(scoring, name)
    assert not inspect.isfunction(value) or ">>>" in value.__doc__
