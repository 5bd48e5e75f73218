"""What of a stream has come: all up to a number, and what is missing behind it."""

import json
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from meets.models import SetAside
