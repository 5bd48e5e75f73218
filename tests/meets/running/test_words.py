"""Every sentence of the engine is marked for translation, and is shown with its values filled in."""

import ast
import struct
from pathlib import Path

import pytest
from django.core.exceptions import ValidationError
from django.utils import translation
from django.utils.translation import trans_real

from meets.grid.reading import Reader
from meets.pit.decisions.forms import WindField
from meets.pit.draft import Draft
from meets.running import actions
from meets.running.messages import ENGINE_MESSAGES, REFUSALS
from meets.running.words import say, say_refused
from scoring import alarms, bands, explain, marks, mixed_up, rule_fields, rulesets, slips, trials, wind
from scoring.errors import NotAMark, NotARuleSet, NotATrial, NotAWind, RuleError
from scoring.explain import BEATS, Sentence
from scoring.marks import Unit
from tests.meets.running.pit_work import DESK_BY, PIT_BY


def _messages(module):
    return [
        text
        for name, text in vars(module).items()
        if name.isupper() and not name.startswith("_") and isinstance(text, str)
    ]


def test_every_sentence_of_the_engine_is_marked_for_translation():
    engine = {
        *explain.MESSAGES,
        *(text for module in (explain, alarms, bands, slips, mixed_up) for text in _messages(module)),
    }
    assert set(ENGINE_MESSAGES) == engine


def test_a_sentence_is_filled_in():
    values = {"best": "5.12", "bib": "31", "nth": "next best", "own": "5.02", "theirs": "4.98"}
    assert say(Sentence(BEATS, values)) == "Equal best 5.12 with bib 31; next best 5.02 beats 4.98."


# Refusals


def _expected_in(module):
    """The phrases that a module says it expects, as they are written there; those put together are none."""
    for node in ast.walk(ast.parse(Path(module.__file__).read_text(encoding="utf-8"))):
        if isinstance(node, ast.keyword) and node.arg == "expected":
            if isinstance(node.value, ast.Constant):
                yield node.value.value
            elif isinstance(node.value, ast.Name):
                yield getattr(module, node.value.id)


def test_every_refusal_of_what_people_type_is_marked_for_translation():
    phrases = {phrase for module in (marks, wind, trials, rule_fields, rulesets) for phrase in _expected_in(module)}
    sentences = {kind("", expected="").message for kind in (NotAMark, NotAWind, NotATrial, NotARuleSet)}
    assert set(REFUSALS) == phrases | sentences


@pytest.mark.parametrize(
    "problem",
    [
        NotAMark("5.4", expected="two decimals, for example 5.40"),
        NotARuleSet("x" * 200, expected="one of %(known)s", where="rule", params={"known": "rounds, cuts"}),
        RuleError("50%", expected="100 %", where="line 3"),
    ],
)
def test_a_refusal_in_words_is_the_refusal_itself(problem):
    assert say_refused(problem) == str(problem)


@pytest.fixture
def welsh(tmp_path, settings):
    """A catalogue of a few sentences, written as gettext reads it."""
    known = {
        "": "Content-Type: text/plain; charset=UTF-8\n",
        "%(value)s is no distance; expected %(expected)s": "Nid pellter yw %(value)s; disgwylid %(expected)s",
        "two decimals, for example 5.40": "dau ddegolyn, er enghraifft 5.40",
        "%(value)s is no rule of a rule set; expected %(expected)s": "Nid rheol yw %(value)s; disgwylid %(expected)s",
        "metres with two decimals, for example 5.43": "metrau, er enghraifft 5.43",
        "%(value)s is no wind reading; expected %(expected)s": "Nid gwynt yw %(value)s; disgwylid %(expected)s",
        "between -20.0 and +20.0 m/s": "rhwng -20.0 a +20.0 m/s",
        "%(unit)s, for example %(example)s": "%(unit)s, er enghraifft %(example)s",
    }
    folder = tmp_path / "cy" / "LC_MESSAGES"
    folder.mkdir(parents=True)
    (folder / "django.mo").write_bytes(_catalogue(known))
    settings.LOCALE_PATHS = [tmp_path]
    trans_real._translations.pop("cy", None)
    with translation.override("cy"):
        yield
    trans_real._translations.pop("cy", None)


def _catalogue(known):
    pairs = [(key.encode(), value.encode()) for key, value in sorted(known.items())]
    count, header = len(pairs), 28
    ids, texts, data = [], [], b""
    for table, column in ((ids, 0), (texts, 1)):
        for pair in pairs:
            table.append(struct.pack("<II", len(pair[column]), header + 16 * count + len(data)))
            data += pair[column] + b"\0"
    return struct.pack("<7I", 0x950412DE, 0, count, header, header + 8 * count, 0, 0) + b"".join([*ids, *texts]) + data


def test_a_refusal_is_said_in_the_language_of_the_reader(event, up, welsh):
    with pytest.raises(actions.Refusal) as refused:
        actions.record_trial(event_id=event.pk, turn=up, trial="5.4", **PIT_BY)
    assert str(refused.value) == "Nid pellter yw '5.4'; disgwylid dau ddegolyn, er enghraifft 5.40"
    with pytest.raises(actions.Refusal) as refused:
        actions.change_rule(event_id=event.pk, field="rounds", value="four", reason="time", **DESK_BY)
    assert str(refused.value) == "rounds: Nid rheol yw 'four'; disgwylid trials, er enghraifft 6"


def test_the_fields_of_pit_and_grid_refuse_in_the_language_of_the_reader(welsh):
    distance = "Nid pellter yw '9999999'; disgwylid metrau, er enghraifft 5.43"
    reading = "Nid gwynt yw '+99.9'; disgwylid rhwng -20.0 a +20.0 m/s"
    assert Draft(flag="white", digits="9999999").mark_wrong(Unit.CM) == distance
    assert Draft(sign="+", tenths="999").wind_wrong() == reading
    with pytest.raises(ValidationError) as refused:
        WindField().clean("+999")
    assert refused.value.messages == [reading]
    sheet = Reader(["9"], Unit.CM)
    sheet.read({"bib_1_1": "9", "t_1_1_1": "543", "w_1_1_1": "+999", "t_1_1_2": "9999999"})
    assert sheet.wrong == {"w_1_1_1": reading, "t_1_1_2": distance}
