"""Every kind of row of the log as a sentence."""

from collections.abc import Callable, Mapping
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as lazy

from meets.entries.values import show_board, wind_words
from scoring import facts
from scoring.flights import DrawMethod
from scoring.marks import Unit, show_mark
from scoring.trials import FAIL_REASONS, FailReason, Result
from scoring.wind import Wind

METHODS = {
    DrawMethod.LOT: lazy("by lot"),
    DrawMethod.SEEDED: lazy("by seed mark, the best flight last"),
    DrawMethod.BY_BOARD: lazy("by board"),
    DrawMethod.SCHOOL_ROTATION: lazy("schools in turn"),
}


class LogWords:
    """Words the rows of one event; `bibs` by entry key, `unit` of its marks."""

    def __init__(self, bibs: Mapping[str, str], unit: Unit) -> None:
        self.bibs, self.unit = bibs, unit

    def __call__(self, fact: facts.Fact) -> str:
        return WORDS[type(fact)](self, fact)

    def bib(self, entry: str) -> str:
        return _("bib %(bib)s") % {"bib": self.bibs.get(entry, f"({entry})")}

    def turn(self, fact: Any) -> str:
        where = _("%(bib)s, round %(round)d") % {"bib": self.bib(fact.entry), "round": fact.round}
        if getattr(fact, "replacement", 0):
            where += _(", replacement trial")
        return where

    def listed(self, entries: tuple[str, ...]) -> str:
        return ", ".join(self.bibs.get(entry, f"({entry})") for entry in entries)

    def jumped(self, fact: facts.Jumped) -> str:
        said = {
            Result.MARK: "",
            Result.FAIL: _("failed"),
            Result.PASS: _("passed"),
            Result.RETIRED: _("retired"),
            Result.NOT_MEASURED: _("valid, not measured"),
        }[fact.result]
        mark = show_mark(fact.mark, self.unit) if fact.mark is not None else ""
        words = f"{self.turn(fact)}: {said or mark}"
        if fact.result is Result.FAIL and fact.reason is not FailReason.NOT_STATED:
            words += f" ({_(FAIL_REASONS[fact.reason])})"
        if fact.under_protest and mark:
            words += ", " + _("measured under protest: %(mark)s") % {"mark": mark}
        return words

    def drawn(self, fact: facts.Drawn) -> str:
        flights = "; ".join(
            _("flight %(number)d: %(bibs)s") % {"number": number, "bibs": self.listed(flight)}
            for number, flight in enumerate(fact.flights, 1)
        )
        if fact.method not in METHODS:
            return _("start list in the order of a typed sheet: %(flights)s") % {"flights": flights}
        return _("start list drawn %(method)s, seed %(seed)d: %(flights)s") % {
            "method": METHODS[DrawMethod(fact.method)], "seed": fact.seed, "flights": flights
        }  # fmt: skip

    def cut(self, fact: facts.CutTaken) -> str:
        words = _("cut taken after round %(round)d: %(bibs)s go on") % {
            "round": fact.after_round, "bibs": self.listed(fact.going_on)
        }  # fmt: skip
        if fact.under_protest:
            words += "; " + _("under protest: %(bibs)s") % {"bibs": self.listed(fact.under_protest)}
        if set(fact.going_on) != set(fact.proposed):
            words += "; " + _("proposed were %(bibs)s") % {"bibs": self.listed(fact.proposed)}
        return words

    def order(self, fact: facts.OrderCalled) -> str:
        return _("order called for round %(round)d: %(bibs)s") % {
            "round": fact.round, "bibs": self.listed(fact.order)
        }  # fmt: skip

    def trials(self, fact: facts.TrialsConfirmed) -> str:
        words = _("confirmed: %(starters)d started, %(rounds)d rounds, a cut")
        if not fact.with_cut:
            words = _("confirmed: %(starters)d started, %(rounds)d rounds, no cut")
        return words % {"starters": fact.starters, "rounds": fact.rounds}

    def voided(self, fact: facts.Voided) -> str:
        if not fact.entry:
            return _("a row is taken back")
        if fact.moved_to:
            return _("%(turn)s: moved to %(bib)s") % {"turn": self.turn(fact), "bib": self.bib(fact.moved_to)}
        return _("%(turn)s: taken back") % {"turn": self.turn(fact)}

    def protest(self, fact: facts.ProtestLodged) -> str:
        whom = self.bib(fact.entry) if fact.entry else _("the event")
        about = self.turn(fact) if fact.round else whom
        words = _("protest about %(about)s") % {"about": about}
        return words + (_(", lodged by %(who)s") % {"who": fact.by} if fact.by else "")

    def left(self, fact: facts.Left) -> str:
        parts = ", ".join(part for part in (fact.where, fact.back_at) if part)
        words = _("%(bib)s away with leave") % {"bib": self.bib(fact.entry)}
        return f"{words}: {parts}" if parts else words


def _of(sentence: Callable[[], str]) -> Callable[[LogWords, Any], str]:
    """A sentence about one entry."""
    return lambda words, fact: sentence() % {"bib": words.bib(fact.entry)}


WORDS: dict[type, Callable[[LogWords, Any], str]] = {
    facts.Drawn: LogWords.drawn,
    facts.CheckedIn: _of(lambda: _("%(bib)s is here")),
    facts.DidNotStart: _of(lambda: _("%(bib)s is not here")),
    facts.Joined: lambda w, f: _("%(bib)s came late, from round %(round)d") % {"bib": w.bib(f.entry), "round": f.round},
    facts.Left: LogWords.left,
    facts.Returned: _of(lambda: _("%(bib)s is back")),
    facts.Withdrew: _of(lambda: _("%(bib)s takes no more trials")),
    facts.Added: _of(lambda: _("%(bib)s added at the pit, to be confirmed")),
    facts.Confirmed: _of(lambda: _("%(bib)s confirmed by the desk")),
    facts.BoardSet: lambda w, f: (
        _("%(bib)s from the board at %(board)s") % {"bib": w.bib(f.entry), "board": show_board(f.board_cm, w.unit)}
    ),
    facts.Jumped: LogWords.jumped,
    facts.Replaced: lambda w, f: _("%(turn)s: a replacement trial is given") % {"turn": w.turn(f)},
    facts.Voided: LogWords.voided,
    facts.WindRead: lambda w, f: _("%(turn)s: wind %(wind)s") % {"turn": w.turn(f), "wind": wind_words(Wind(f.tenths))},
    facts.NoGauge: lambda w, f: _("there is a wind gauge again") if f.until else _("no wind gauge from here on"),
    facts.TrialsConfirmed: LogWords.trials,
    facts.CutTaken: LogWords.cut,
    facts.OrderCalled: LogWords.order,
    facts.CalledIn: lambda w, f: (
        _("%(bib)s called in from round %(round)d") % {"bib": w.bib(f.entry), "round": f.round}
    ),
    facts.Disregarded: lambda w, f: (
        _("trials of %(bib)s from round %(round)d on do not count") % {"bib": w.bib(f.entry), "round": f.round}
    ),
    facts.AlarmSettled: lambda w, f: _("an alarm is settled"),
    facts.FlightsMerged: lambda w, f: (
        _("flights joined from round %(round)d: %(bibs)s") % {"round": f.round, "bibs": w.listed(f.order)}
    ),
    facts.FlightMoved: lambda w, f: _("flight %(flight)d goes on at %(pit)s") % {"flight": f.flight, "pit": f.pit},
    facts.Suspended: lambda w, f: _("stopped for safety") if f.safety else _("suspended"),
    facts.Resumed: lambda w, f: _("resumed"),
    facts.Abandoned: lambda w, f: _("abandoned; rounds that count: %(rounds)d") % {"rounds": f.rounds_counted},
    facts.Shortened: lambda w, f: _("ends after round %(round)d, for all") % {"round": f.last_round},
    facts.RuleChanged: lambda w, f: _("rule changed: %(rule)s is %(value)s") % {"rule": f.field, "value": f.value},
    facts.Card: lambda w, f: _("%(bib)s is shown a %(colour)s card") % {"bib": w.bib(f.entry), "colour": _(f.colour)},
    facts.Disqualified: _of(lambda: _("%(bib)s is disqualified")),
    facts.ProtestLodged: LogWords.protest,
    facts.ProtestDecided: lambda w, f: _("protest upheld") if f.upheld else _("protest not upheld"),
    facts.AppealLodged: lambda w, f: (
        _("appeal to the jury, lodged by %(who)s") % {"who": f.by} if f.by else _("appeal to the jury")
    ),
    facts.AppealDecided: lambda w, f: _("the jury: protest upheld") if f.upheld else _("the jury: protest not upheld"),
    facts.BoardChecked: lambda w, f: (
        _("board at %(board)s measured as %(measured)g m")
        % {"board": show_board(f.board_cm, w.unit), "measured": f.measured_cm / 100}
    ),
    facts.ReadinessSigned: lambda w, f: _("sand, runway and board are ready"),
    facts.HandedOver: lambda w, f: _("%(who)s writes from here on") % {"who": f.to},
    facts.Closed: lambda w, f: _("closed"),
}
