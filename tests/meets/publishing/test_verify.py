"""A published file worked out again: what was played holds, what was changed is found, nothing hostile breaks it."""

import io
import json
import random

import pytest
from django.core.management import call_command
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from meets.publishing.canonical import canonical, file_text
from meets.publishing.schema import schema_of, wrong_in
from meets.publishing.verify import verify
from tests.depth import drawn
from tests.meets.publishing.documents import best, document, line, standings, trial
from tests.meets.publishing.logs import document_of, file_of, played_event

RULES = [
    "international",
    "two-cuts",
    "three-only",
    "four",
    "us-schools",
    "young-two",
    "combined-events",
    "qualification",
]
SLOW = settings(suppress_health_check=list(HealthCheck), max_examples=drawn(20), deadline=None)
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=12,
)


def wrong(content, printed=""):
    return [checked.says for checked in verify(content, printed).checked if checked.holds is False]


@pytest.mark.slow
@pytest.mark.django_db
@SLOW
@given(st.integers(0, 10**6), st.integers(1, 12), st.integers(0, 2), st.sampled_from(RULES))
def test_what_was_played_holds_and_fits_the_schema(seed, entries, guests, rules):
    found = document_of(played_event(seed=seed, entries=entries, guests=min(guests, entries), rule_set=rules))
    assert wrong(file_of(found)) == []
    assert list(Draft202012Validator(schema_of("result")).iter_errors(json.loads(file_of(found)))) == []


@pytest.fixture(scope="module")
def real(django_db_setup, django_db_blocker):
    """One result with guests, a cut and ties by next best, as a file."""
    with django_db_blocker.unblock():
        from django.db import transaction

        with transaction.atomic():
            made = document_of(played_event(seed=5, entries=11, guests=1))
            transaction.set_rollback(True)
    return made


def places_of_values(value, where=()):
    """The way to every plain value of a document."""
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from places_of_values(inner, (*where, name))
    elif isinstance(value, list):
        for number, inner in enumerate(value):
            yield from places_of_values(inner, (*where, number))
    else:
        yield where


def changed(document, where, value):
    copied = json.loads(json.dumps(document))
    inner = copied
    for step in where[:-1]:
        inner = inner[step]
    inner[where[-1]] = value
    return copied


def other(value, lot):
    """Something else of the same kind."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return value + lot.choice([-1, 1, 10])
    if isinstance(value, str):
        return value + "1"
    return 7


@given(st.integers(0, 10**6))
def test_whatever_is_changed_the_hash_does_not_hold(real, seed):
    lot = random.Random(seed)
    where = lot.choice(list(places_of_values(real)))
    value = real
    for step in where:
        value = value[step]
    tampered = {"document": changed(real, where, other(value, lot)), "sha256": json.loads(file_of(real))["sha256"]}
    assert wrong(canonical(tampered).encode())


@given(st.integers(0, 10**6))
def test_a_new_hash_does_not_save_a_wrong_place_best_or_points(real, seed):
    lot = random.Random(seed)
    line = lot.randrange(len(real["lines"]))
    own = real["lines"][line]
    fields = [("place",), ("shared",), ("points",), ("guest",)]
    fields += [("best", "mark"), ("best", "shown")] if own["best"] else []
    where = ("lines", line, *lot.choice(fields))
    value = own[where[2]] if len(where) == 3 else own[where[2]][where[3]]
    new = "3" if where[2] == "points" and value != "3" else other(value, lot)
    # A guest without a mark is as much without a place as anybody else.
    assume(where[2] != "guest" or own["best"])
    assert wrong(file_of(changed(real, where, new)))


@given(st.integers(0, 10**6))
def test_a_new_hash_does_not_save_a_mark_that_is_shown_otherwise(real, seed):
    lot = random.Random(seed)
    marks = [
        (line, trial)
        for line, own in enumerate(real["lines"])
        for trial, one in enumerate(own["series"])
        if one["mark"] is not None
    ]
    line, trial = lot.choice(marks)
    mark = real["lines"][line]["series"][trial]["mark"]
    assert wrong(file_of(changed(real, ("lines", line, "series", trial, "mark"), mark + lot.choice([-7, 1, 100]))))


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"place": 2}, "Bib 4: 2 is written as place, the series give 1."),
        ({"points": "9"}, "Bib 4: 9 points are written, the places give 8."),
        ({"best": None}, "Bib 4: none is written as best, the series give 5.43."),
        ({"status": "NM"}, "Bib 4: has a mark and is written as NM."),
    ],
)
def test_what_does_not_follow_is_said(changes, says):
    found = document()
    found["lines"][0] |= changes
    assert says in " ".join(wrong(file_of(found)))


SERIES = [trial(1, 543, 14), trial(2, "x"), trial(3, 521, 23)]


@pytest.mark.parametrize(
    ("of_line", "of_all", "says"),
    [
        ({"series": [*SERIES, trial(3, 520, 1)]}, {}, "Bib 4: two trials of round 3 count."),
        (
            {"series": [trial(1, 543, 14), trial(2, "x"), trial(4, 521, 23)]},
            {},
            "Bib 4: a trial of round 4 counts, and the result is that of 3 rounds.",
        ),
        (
            {"series": SERIES},
            {"counted_rounds": 2},
            "Bib 4: a trial of round 3 counts, and the result is that of 2 rounds.",
        ),
        (
            {},
            {"cuts": [{"after_round": 2, "going_on": ["104", "999"], "under_protest": []}]},
            "In the cut after round 2 is somebody who is not in the result.",
        ),
        (
            {"series": [trial(1, 543, 24), trial(2, "x"), trial(3, 521, 3)], "best": best(543, 24)},
            {},
            "Bib 4: the best legal mark of the series is not written.",
        ),
    ],
)
def test_what_cannot_stand_beside_the_rest_is_said(of_line, of_all, says):
    found = document(**of_all)
    found["lines"][0] |= of_line
    assert wrong(file_of(found)) == [says]


def test_a_hand_made_document_holds():
    assert wrong(file_of(document())) == []


def test_the_order_of_the_lines_is_looked_at():
    found = document()
    found["lines"] = [found["lines"][2], found["lines"][1], found["lines"][0], found["lines"][3]]
    assert wrong(file_of(found)) == ["The lines do not stand in the order of their marks: it is bibs 4, 9, 7, 8."]


def test_the_hash_on_paper_is_compared():
    file = file_of(document())
    own = json.loads(file)["sha256"]
    assert wrong(file, own[:8].upper()) == []
    assert wrong(file, "0" * 8) == [
        f"It is not the version on paper: there the hash begins with 00000000, here with {own[:8]}."
    ]


STANDINGS = [
    (lambda found: found, ""),
    (lambda found: found["schools"][0].update(points="9"), "Thornwick School: place 1 with 9 points is written"),
    (lambda found: found["schools"][0].update(place=2), "Thornwick School: place 2 with 8 points is written"),
    (lambda found: found["schools"][0]["by_event"].update({"12": "7"}), "the points of the events do not add up"),
    (lambda found: found["schools"].reverse(), "The schools do not stand in the order of their places."),
    (lambda found: found["lines"].pop(), "Elmgarth Academy: place 2 with 7 points is written"),
    (lambda found: found["lines"][0].update(school="XYZ"), "Schools with points and schools in the table"),
    (lambda found: found["schools"][1]["penalties"].append({"points": "3", "reason": "x"}), "A penalty gives points"),
    (lambda found: found["schools"][1]["penalties"].append({"points": "-3", "reason": "x"}), "Elmgarth Academy: place"),
]


@pytest.mark.django_db
@pytest.mark.parametrize(("change", "says"), STANDINGS)
def test_team_standings_are_added_up_again(change, says):
    from tests.factories import MeetFactory

    found = standings(MeetFactory())
    change(found)
    said = " ".join(wrong(file_of(found)))
    assert (says in said, bool(said)) == (True, bool(says))


HOSTILE = [
    (b"", "not JSON"),
    (b"\xff\xfe\x00", "not JSON"),
    (b"[" * 100_000, "not JSON"),
    (b'{"document":' * 5000 + b"1" + b"}" * 5000, "not JSON"),
    (b"9" * 5000, "not JSON"),
    (b'{"sha256":"a","sha256":"b","document":{}}', "not JSON"),
    (b'{"document":NaN,"sha256":""}', "not JSON"),
    (b"[]", "no published result"),
    (b"{}", "no published result"),
    (b'{"document":[],"sha256":""}', "no published result"),
    (b'{"document":{"kind":["result"]},"sha256":""}', "no published result"),
    (b'{"document":{"kind":"result"},"sha256":""}', "not as published ones are"),
    (b'{"document":{"kind":"standings","format":1e999},"sha256":""}', "not as published ones are"),
    (b" " * (5 * 1024 * 1024 + 1), "larger than 5 MB"),
]


def test_no_number_makes_it_work_for_ever():
    found = document(meet={"schools_in_match": 2**50})
    found["rules"]["fields"]["points_by_schools"] = "yes"
    assert "schools_in_match: expected 0 to 1000" in " ".join(wrong(file_of(found)))


@pytest.mark.parametrize("mark", [1, 219, 220, 20_000])
def test_points_of_combined_events_at_the_ends(mark):
    found = document(lines=[line("1", "1", [trial(1, mark, 4)], place=1)])
    found["rules"]["fields"]["combined_points"] = "men"
    assert all("points" in says for says in wrong(file_of(found)))


@pytest.mark.parametrize(("content", "says"), HOSTILE)
def test_hostile_files_are_refused_in_words(content, says):
    [checked] = verify(content).checked
    assert (checked.holds, says in checked.says) == (False, True)


@given(st.binary(max_size=300) | JSON.map(lambda value: json.dumps(value).encode()))
def test_no_bytes_break_it(content):
    assert not verify(content).holds


@given(st.integers(0, 10**6), JSON)
def test_no_value_in_any_place_breaks_it(seed, value):
    where = random.Random(seed).choice(list(places_of_values(document())))
    file = json.dumps({"document": changed(document(), where, value), "sha256": "0" * 64}).encode()
    assert not verify(file).holds


@given(st.integers(0, 10**6), JSON)
def test_our_reader_of_schemas_finds_what_a_complete_one_finds(seed, value):
    lot = random.Random(seed)
    found = json.loads(file_text(document()))
    file = changed(found, lot.choice(list(places_of_values(found))), value)
    complete = Draft202012Validator(schema_of("result"))
    # 1.0 is a whole number to JSON Schema and none to us: a published file has no fractions.
    assume(not any(isinstance(part, float) for part in _all(value)))
    assert bool(list(wrong_in(file, schema_of("result")))) is bool(list(complete.iter_errors(file)))


def _all(value):
    yield value
    for inner in value.values() if isinstance(value, dict) else value if isinstance(value, list) else ():
        yield from _all(inner)


def said(*arguments):
    out = io.StringIO()
    try:
        call_command("verify_publication", *map(str, arguments), stdout=out, stderr=out)
    except SystemExit as ended:
        return ended.code, out.getvalue()
    return 0, out.getvalue()


def test_the_command_says_what_holds(tmp_path):
    path = tmp_path / "result.json"
    path.write_bytes(file_of(document()))
    code, words = said(path)
    assert (code, words.splitlines()[-1]) == (0, "All of it holds.")
    assert "holds  The places of 4 lines hold." in words.splitlines()


def test_the_command_says_what_does_not(tmp_path):
    path = tmp_path / "result.json"
    path.write_bytes(file_of(document()).replace(b'"place":2', b'"place":1'))
    code, words = said(path)
    assert (code, words.splitlines()[-1]) == (1, "It does not hold.")
    assert "WRONG  Bib 7: 1 is written as place, the series give 2." in words.splitlines()


def test_signs_that_steer_a_terminal_are_not_printed(tmp_path):
    path = tmp_path / "result.json"
    path.write_bytes(file_of(document(meet={"name": "Jumps \x1b[2J\u202e"})))
    assert not {"\x1b", "\u202e"} & set(said(path)[1])


def test_a_file_that_is_not_there(tmp_path):
    assert said(tmp_path / "none.json")[0] == 2
