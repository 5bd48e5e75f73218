import re

import pytest

from scoring import explain
from scoring.cut import CutLine, CutProposal, CutReason, CutVerdict, propose_cut, propose_trials
from scoring.explain import Sentence, decided_by, explain_cut, explain_place, explain_trials, ordinal
from scoring.marks import Unit
from scoring.places import Contender, Decision, Placed, rank
from scoring.rulesets import rule_set
from tests.build import contenders

BIBS = {"a": "31", "b": "17", "c": "22", "d": "4", "g": "AA"}


def placed_of(table: str) -> dict[str, Placed]:
    return {placed.entry: placed for placed in rank(contenders(table))}


def told(placed: Placed, **more) -> list[str]:
    return [str(sentence) for sentence in explain_place(placed, BIBS.get, **more)]


FIELD = """
    a  5.12 5.02 x
    b  5.12 4.98 4.90
    c  5.12 4.98 x
    d  5.12 4.98 4.90
"""


@pytest.mark.parametrize(
    ("entry", "sentences", "short"),
    [
        (
            "a",
            ["Equal best 5.12 with bib 17; next best 5.02 beats 4.98."],
            "next best 5.02 against 4.98 (31 before 17)",
        ),
        (
            "b",
            [
                "Equal best 5.12 with bib 31; next best 4.98 loses to 5.02.",
                "Equal with bib 4 in every mark, so they share the place.",
                "Equal best 5.12 with bib 22; third best 4.90 beats no further mark.",
            ],
            "next best 5.02 against 4.98 (31 before 17); third best 4.90 against no further mark (17 before 22);"
            " shared with 4",
        ),
        (
            "c",
            ["Equal best 5.12 with bib 17; third best no further mark loses to 4.90."],
            "third best 4.90 against no further mark (17 before 22)",
        ),
    ],
)
def test_why_a_place_is_what_it_is(entry, sentences, short):
    placed = placed_of(FIELD)[entry]
    assert told(placed) == sentences
    assert decided_by(placed, BIBS.get) == short


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("5.43 x", "Best 5.43."),
        ("x x", "No valid mark."),
        ("- -", "Took no trial."),
        ("DQ", "Disqualified: second yellow card."),
    ],
)
def test_a_place_or_none_by_the_series_alone(text, sentence):
    assert told(placed_of(f"a {text}")["a"], reason="second yellow card") == [sentence]


def test_nobody_has_a_status_before_the_first_trial():
    assert told(Placed("a", None, None, "")) == ["No mark yet."]


def test_without_a_mark_nothing_decided():
    assert decided_by(placed_of("a x")["a"], BIBS.get) == ""


def test_a_guest_is_told_so():
    (guest,) = rank([Contender("g", (602,), guest=True)])
    assert told(guest) == ["Best 6.02.", "A guest: listed where the mark belongs, without place or points."]


def test_in_quarter_inches():
    first, _ = rank([Contender("a", (786, 780)), Contender("b", (786, 779))])
    assert told(first, unit=Unit.QUARTER_INCH) == [
        "Equal best 16-04.50 with bib 17; next best 16-03.00 beats 16-02.75."
    ]


def test_a_seventh_best_has_its_number():
    placed = Placed("a", 1, 512, beat=Decision("b", 7, 500, None))
    assert told(placed) == ["Equal best 5.12 with bib 17; 7th best 5.00 beats no further mark."]
    assert decided_by(placed, BIBS.get) == "7th best 5.00 against no further mark (31 before 17)"


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (1, "1st"), (2, "2nd"), (3, "3rd"), (4, "4th"), (10, "10th"), (11, "11th"), (12, "12th"), (13, "13th"),
        (20, "20th"), (21, "21st"), (22, "22nd"), (101, "101st"), (111, "111th"), (112, "112th"),
    ],
)  # fmt: skip
def test_ordinals(number, text):
    assert ordinal(number) == text


@pytest.mark.parametrize(
    ("starters", "rules", "sentence"),
    [
        (9, "international", "9 started, more than 8: the best 8 after round 3 take 6 trials."),
        (7, "international", "7 started, not more than 8: everybody takes 6 trials, without a cut."),
        (7, "best-six-one-more", "7 started, more than 6: the best 6 after round 3 take 4 trials."),
    ],
)
def test_how_many_trials(starters, rules, sentence):
    chosen = rule_set(rules)
    assert str(explain_trials(propose_trials(starters, chosen), cut_after=3)) == sentence


def test_everybody_at_a_cut_has_a_sentence():
    rules = rule_set("international").with_changes({"cuts": ((3, 3),)})
    lines = [
        CutLine("1", (530,), 1),
        CutLine("2", (520,), 2, withdrawn=True),
        CutLine("3", (510, 505), 3),
        CutLine("4", (510, 505), 4),
        CutLine("5", (510, 500), 5),
        CutLine("6", (490,), 6),
        CutLine("7", (525,), 7, guest=True),
        CutLine("8", (480,), 8, if_upheld=(540, 480)),
        CutLine("9", (), 9),
        CutLine("10", (), 10, "DNS"),
        CutLine("11", (), 11, "DQ"),
    ]
    marks = {line.entry: line.marks for line in lines}
    proposal = propose_cut(lines, 3, rules)
    assert {v.entry: str(explain_cut(v, proposal, marks[v.entry], str)) for v in proposal.verdicts} == {
        "1": "In: 1st of the best 3 after round 3 with 5.30.",
        "7": "In as a guest, as an extra: the mark 5.25 is good enough.",
        "2": "Out: withdrawn.",
        "3": "In: equal in every mark for the last of 3 places, so all who are equal go on.",
        "4": "In: equal in every mark for the last of 3 places, so all who are equal go on.",
        "5": "Out: equal best 5.10 with bib 3; next best 5.00 loses to 5.05.",
        "6": "Out: 6th with 4.90, and the best 3 go on.",
        "8": "Goes on under protest: in if the protest is upheld, else these trials do not count.",
        "9": "Out: no valid mark.",
        "10": "Out: did not start.",
        "11": "Out: disqualified.",
    }
    # The guest stands before the second, who has fewer centimetres.
    assert [v.entry for v in proposal.verdicts][:4] == ["1", "7", "2", "3"]


def test_the_last_one_in_by_the_next_best():
    rules = rule_set("international").with_changes({"cuts": ((3, 1),)})
    lines = [CutLine("1", (530, 500), 1), CutLine("2", (530,), 2)]
    proposal = propose_cut(lines, 3, rules)
    assert [str(explain_cut(v, proposal, (530,), str)) for v in proposal.verdicts] == [
        "In: equal best 5.30 with bib 2; next best 5.00 beats no further mark.",
        "Out: equal best 5.30 with bib 1; next best no further mark loses to 5.00.",
    ]


@pytest.mark.parametrize(
    ("reason", "sentence"),
    [
        (CutReason.OUT_AS_GUEST, "Out: guests take no further trials in this meet."),
        (
            CutReason.OUT_BY_DRAW,
            "Out: equal in every mark with the last of the best 8, and behind in the draw.",
        ),
        (CutReason.IN_BY_RANK, "In without a mark: fewer than 8 have one."),
    ],
)
def test_a_verdict_of_a_local_custom(reason, sentence):
    marks = () if reason is CutReason.IN_BY_RANK else (500,)
    assert str(explain_cut(CutVerdict("a", False, reason), CutProposal(3, 8, (), (), ()), marks, str)) == sentence


def test_every_message_is_listed_for_translation_and_fills_in():
    assert len(set(explain.MESSAGES)) == len(explain.MESSAGES)
    for message in explain.MESSAGES:
        names = re.findall(r"%\((\w+)\)s", message)
        filled = str(Sentence(message, {name: f"<{name}>" for name in names}))
        assert all(f"<{name}>" in filled for name in names)
        assert "%" not in filled


def test_a_guest_who_is_out_is_given_no_rank():
    lines = [CutLine("a", (512,), 1), CutLine("b", (500,), 2, guest=True)]
    proposal = propose_cut(lines, 3, rule_set("international").with_changes({"cuts": ((3, 1),)}))
    verdict = proposal.verdicts[1]
    assert str(explain_cut(verdict, proposal, (500,), str)) == (
        "Out: a guest with 5.00, not good enough for the best 1."
    )
