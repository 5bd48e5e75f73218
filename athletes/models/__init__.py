"""Schools and the people in them."""

from athletes.models.athlete import Athlete
from athletes.models.discipline import Discipline
from athletes.models.past_mark import PastMark
from athletes.models.school import School

__all__ = ["Athlete", "Discipline", "PastMark", "School"]
