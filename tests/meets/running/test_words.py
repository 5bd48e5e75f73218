"""Every sentence of the engine is marked for translation, and is shown with its values filled in."""

from meets.running.messages import ENGINE_MESSAGES
from meets.running.words import say
from scoring import alarms, explain, slips
from scoring.explain import BEATS, Sentence


def _messages(module):
    return [
        text
        for name, text in vars(module).items()
        if name.isupper() and not name.startswith("_") and isinstance(text, str)
    ]


def test_every_sentence_of_the_engine_is_marked_for_translation():
    engine = {*explain.MESSAGES, *_messages(explain), *_messages(alarms), *_messages(slips)}
    assert set(ENGINE_MESSAGES) == engine


def test_a_sentence_is_filled_in():
    values = {"best": "5.12", "bib": "31", "nth": "next best", "own": "5.02", "theirs": "4.98"}
    assert say(Sentence(BEATS, values)) == "Equal best 5.12 with bib 31; next best 5.02 beats 4.98."
