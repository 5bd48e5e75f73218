"""Every rule that entries of phones rely on and that the check switches off, and those that it leaves alone."""

from tests.faults.mutations.judging import JUDGING
from tests.faults.mutations.mutation import Mutation
from tests.faults.mutations.on_phone import SAVING, SENDING_RULES
from tests.faults.mutations.receiving import RECEIVING
from tests.faults.mutations.showing import CLOSING, SHOWING

MUTATIONS: tuple[Mutation, ...] = (*SAVING, *SENDING_RULES, *RECEIVING, *JUDGING, *SHOWING, *CLOSING)

LEFT_OUT = {
    "an entry is on the disk before it is answered, seen in the calls of the server": (
        "tests/faults/test_fsync.py tries the less safe setting itself; the setting of the product is in the table."
    ),
    "receiving holds the right to write (`one_writer` around a push)": (
        "on SQLite a transaction that begins as a writer waits inside the database instead, only longer: speed, not"
        " safety. That the lock itself holds is in the table."
    ),
}
"""Rules that are not switched off here, each with the reason."""
