"""Which column of a file is which: people's headings, in any case, order and many spellings."""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from athletes.reading.names import folded
from athletes.reading.table import Table, Unreadable


class Field(StrEnum):
    """What an entry line may say."""

    CODE = "code"
    SCHOOL = "school"
    FIRST_NAME = "first_name"
    LAST_NAME = "last_name"
    BORN = "born"
    SEX = "sex"
    EVENT = "event"
    STRING = "string"
    BEST = "best"
    BOARD = "board"
    AGE_GROUP = "age_group"
    SCHOOL_YEAR = "school_year"
    BEST_WIND = "best_wind"
    BEST_DATE = "best_date"
    GUEST = "guest"
    KLASS = "klass"
    SAY_IT = "say_it"
    NOT_PUBLIC = "not_public"


HEADINGS = {
    Field.CODE: gettext_lazy("School code"),
    Field.SCHOOL: gettext_lazy("School"),
    Field.FIRST_NAME: gettext_lazy("First name"),
    Field.LAST_NAME: gettext_lazy("Surname"),
    Field.BORN: gettext_lazy("Date of birth"),
    Field.SEX: gettext_lazy("Sex"),
    Field.EVENT: gettext_lazy("Event"),
    Field.STRING: gettext_lazy("String"),
    Field.BEST: gettext_lazy("Best"),
    Field.BOARD: gettext_lazy("Board"),
    Field.AGE_GROUP: gettext_lazy("Age group"),
    Field.SCHOOL_YEAR: gettext_lazy("School year"),
    Field.BEST_WIND: gettext_lazy("Wind of best"),
    Field.BEST_DATE: gettext_lazy("Date of best"),
    Field.GUEST: gettext_lazy("Guest"),
    Field.KLASS: gettext_lazy("Impairment class"),
    Field.SAY_IT: gettext_lazy("How to say the name"),
    Field.NOT_PUBLIC: gettext_lazy("Name not shown"),
}
REQUIRED = (Field.FIRST_NAME, Field.LAST_NAME, Field.BORN, Field.SEX, Field.EVENT)

# Folded, without blanks and without what stands in brackets.
SPELLINGS = {
    Field.CODE: "schoolcode code schcode schoolid schoolabbreviation abbreviation teamcode clubcode",
    Field.SCHOOL: "school schoolname nameofschool team teamname club college academy",
    Field.FIRST_NAME: "firstname firstnames forename forenames givenname givennames given first fname christianname",
    Field.LAST_NAME: "surname lastname familyname family last lname secondname",
    Field.BORN: "dateofbirth birthdate dob born birthday dateborn birth bdate",
    Field.SEX: "sex gender mf fm girlboy boygirl girlorboy boyorgirl",
    Field.EVENT: "event events eventname competition discipline jump",
    Field.STRING: "string aorb ab astringorbstring stringab",
    Field.BEST: "best bestmark pb personalbest sb seasonbest seasonsbest seed seedmark mark performance "
    "bestperformance bestdistance distance bestjump entrymark",
    Field.BOARD: "board takeoffboard boarddistance tjboard triplejumpboard boardm takeoff",
    Field.AGE_GROUP: "agegroup agecategory agegrp agedivision division",
    Field.SCHOOL_YEAR: "schoolyear yeargroup year yr grade schoolgrade",
    Field.BEST_WIND: "windofbest wind bestwind pbwind seedwind windspeed",
    Field.BEST_DATE: "dateofbest bestdate pbdate seeddate whenjumped dateofpb",
    Field.GUEST: "guest isguest noncompeting nonscoring",
    Field.KLASS: "impairmentclass paraclass sportclass",
    Field.SAY_IT: "howtosaythename pronunciation phonetic sayit saidas howtosay",
    Field.NOT_PUBLIC: "namenotshown notshown namenotpublic notpublic namehidden hidename hidethename donotshowname "
    "donotshowthename withoutname",
}
_FIELD_OF = {spelling: field for field, spellings in SPELLINGS.items() for spelling in spellings.split()}


@dataclass(frozen=True, slots=True)
class Columns:
    """The column of each field, and the headings that mean nothing here."""

    of: dict[Field, int]
    unknown: tuple[str, ...]


def looks_like_headings(texts: Sequence[str]) -> bool:
    """Whether a line can be the headings: most of the required ones are in it."""
    found = {field_of(text) for text in texts}
    return sum(field in found for field in REQUIRED) >= len(REQUIRED) - 2


def field_of(heading: str) -> Field | None:
    without_brackets = re.sub(r"[(\[].*?[)\]]", "", heading)
    return _FIELD_OF.get(re.sub(r"[\W_]", "", folded(without_brackets or heading)))


def match_columns(table: Table, required: Sequence[Field] = REQUIRED) -> Columns:
    """Find the columns. Raises Unreadable naming what is missing or stands twice."""
    of: dict[Field, int] = {}
    unknown: list[str] = []
    for index, heading in enumerate(table.headings):
        field = field_of(heading)
        if field is None:
            if heading:
                unknown.append(heading)
        elif field in of:
            raise Unreadable(
                table.name,
                _('the columns "%(first)s" and "%(second)s" both say: %(field)s. Keep one of them.')
                % {"first": table.headings[of[field]], "second": heading, "field": HEADINGS[field]},
                line=table.heading_line,
                column=heading,
            )
        else:
            of[field] = index
    missing = [str(HEADINGS[field]) for field in required if field not in of]
    if Field.CODE not in of and Field.SCHOOL not in of:
        missing.insert(0, str(HEADINGS[Field.CODE]))
    if missing:
        raise Unreadable(table.name, _missing(missing, unknown, required), line=table.heading_line)
    return Columns(of, tuple(unknown))


def _missing(missing: list[str], unknown: list[str], required: Sequence[Field]) -> str:
    expected = [str(HEADINGS[Field.CODE]), *(str(HEADINGS[field]) for field in required)]
    says = [
        _("the headings do not name a column for: %(missing)s. Expected at least: %(expected)s.")
        % {"missing": ", ".join(missing), "expected": ", ".join(expected)}
    ]
    known = [str(HEADINGS[field]) for field in Field]
    for heading in unknown:
        near = difflib.get_close_matches(heading.casefold(), [text.casefold() for text in known], 1, 0.75)
        if near:
            meant = next(text for text in known if text.casefold() == near[0])
            says.append(_('Is "%(heading)s" meant to be "%(meant)s"?') % {"heading": heading, "meant": meant})
    says.append(_("Name the columns in the first line and send the file again."))
    return " ".join(says)
