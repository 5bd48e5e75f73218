"""The migrations of `meets`, and one more after them that makes the table of the log anew."""

import meets.migrations

__path__ = [*meets.migrations.__path__, *__path__]
