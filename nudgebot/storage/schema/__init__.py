"""Every table, and nothing else.

What holds a value of the book has a column for each field of it; see `book_repository` for what a book holds. Until the
first release a file of another shape is refused as it is opened; after it, a change needs a migration beside it.

Instants are whole microseconds since 1970 in UTC, so that they sort, compare and come back exactly as they went
in (SQLite keeps no zone with a date-time). Calendar dates are the runner's own; SQLite keeps them as ISO text. Text
compares by its bytes on either engine: keys are looked up by ranges.
"""

from __future__ import annotations

from typing import Final

from nudgebot.storage.schema.columns import Instant as Instant
from nudgebot.storage.schema.columns import metadata as metadata
from nudgebot.storage.schema.group_tables import *  # noqa: F403 - a table is named where it is and nowhere else
from nudgebot.storage.schema.letter_tables import *  # noqa: F403 - as above
from nudgebot.storage.schema.runner_tables import *  # noqa: F403 - as above

HEAD: Final = "0001"  # the newest migration; a database that says so needs nothing done
