"""The events of a meet as the programme page shows them."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Count, QuerySet
from django.utils.text import get_text_list
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from athletes.models import Discipline
from meets.entries.values import show_board
from meets.models import Event, Meet
from scoring.age_schemes import SCHEMES
from scoring.boards import SCHOOL_TRIPLE_JUMP_BOARDS_CM
from scoring.marks import Unit


@dataclass(frozen=True)
class NewEvent:
    """One combination that the add-many form asks for."""

    discipline: str
    category: str
    age_group: str

    @property
    def name(self) -> str:
        return _("%(age_group)s %(category)s %(discipline)s") % {
            "age_group": self.age_group,
            "category": Event.Category(self.category).label,
            "discipline": Discipline(self.discipline).label,
        }


def age_group_choices(meet: Meet) -> list[tuple[str, str]]:
    return [(group.key, f"{group.key} ({_(group.label)})") for group in SCHEMES[meet.age_scheme].groups]


def usual_boards_cm() -> tuple[int, ...]:
    """Boards that schools use in the triple jump, as a suggestion."""
    return SCHOOL_TRIPLE_JUMP_BOARDS_CM


def programme(meet: Meet) -> QuerySet[Event]:
    return meet.events.annotate(entry_count=Count("entries", distinct=True)).prefetch_related(
        "session_parts__session__pit"
    )


def boards_not_there(events: Iterable[Event], unit: str) -> list[str]:
    """A sentence for each event that names boards which the pit where it is held does not have, by the pit's list."""
    found = []
    for event in events:
        for pit in dict.fromkeys(part.session.pit for part in event.session_parts.all() if part.session.pit.boards_cm):
            missing = [show_board(cm, Unit(unit)) for cm in event.boards_cm if cm not in pit.boards_cm]
            if missing:
                says = ngettext(
                    "%(event)s uses the board at %(boards)s. The list of boards of “%(pit)s” has none there.",
                    "%(event)s uses the boards at %(boards)s. The list of boards of “%(pit)s” has none there.",
                    len(missing),
                )
                boards = get_text_list(missing, _("and"))
                found.append(says % {"event": event.name, "boards": boards, "pit": pit.name})
    return found


def has_log(event: Event) -> bool:
    return event.log.exists()


def removable(event: Event) -> bool:
    """An event without entries and without a log may go."""
    return not (event.entries.exists() or has_log(event))
