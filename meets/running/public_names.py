"""What the public sees of a pupil's name: as the meet has chosen, less where the athlete's own setting says so."""

from athletes.models import Athlete
from meets.models import Meet


def public_name(athlete: Athlete, meet: Meet) -> str:
    """The name for pages and files that anybody may open; empty where only bib and school are shown."""
    if athlete.not_public or meet.public_names == Meet.PublicNames.BIB:
        return ""
    if meet.public_names == Meet.PublicNames.FULL:
        return str(athlete)
    return f"{athlete.first_name} {athlete.last_name[:1]}.".strip()
