"""What is drawn anew in each run, and holds nearly everything at some time: tokens, ids, times in milliseconds."""

import re


def holds_number(number: str, text: str) -> bool:
    """Whether a number stands in a text, and not only its digits in a token, in an id or in a longer number.

    `number` is a regular expression.
    """
    return re.search(rf"(?<![\w-]){number}(?![\w-])", text, re.ASCII) is not None
