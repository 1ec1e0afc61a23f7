"""Two weeks of an invented runner through the real core, in a few seconds: no token, no server, nothing kept."""

from __future__ import annotations

import io
from datetime import UTC, datetime
from typing import Final, TextIO
from zoneinfo import ZoneInfo

from nudgebot.channels.terminal.console import Talk, ToldClock
from nudgebot.storage.database import opened

START: Final = datetime(2027, 1, 3, 17, 0, tzinfo=UTC)  # a Sunday evening; no test or reader depends on today
RUNNER: Final = "Marta"

# Marta is invented: 51, two children, a job with late meetings, 75 minutes of running a week so far.
INTAKE: Final = """/start
yes
yes
no
no
no
no
endurance
75
35
no
mon 45, tue 45, wed 45, thu 45, sat 90, sun 90
sat
Lisbon
18:00
06:45
21:30-06:30
Portugal
1975"""

# A line that begins with # is told to the reader and not said to the bot.
SCRIPT: Final = """# Monday: the reminder comes at the time she chose; after the run she writes one line.
@ 2027-01-04 18:50
20 easy
# Wednesday's run does not happen, and she says so in her own words.
@ 2027-01-06 18:20
kid sick, tomorrow?
# Thursday: done, with a pulse.
@ 2027-01-07 19:10
20 min, hr 128
# Friday: tomorrow is taken, so the long run has to go elsewhere.
@ 2027-01-08 12:40
busy tomorrow
@ 2027-01-10 10:30
36 min slow, could talk all the way
/week
# The second week. Wednesday slips by without a word, and in the evening a two-day gap looms.
@ 2027-01-11 19:00
25
@ 2027-01-13 21:00
# Thursday at lunch she fits in the shortest run that keeps the rhythm.
@ 2027-01-14 12:30
20 round the park
# Saturday's long run ends with a warning sign. Everything else stops.
@ 2027-01-16 11:30
38 min, chest felt tight on the last hill
@ 2027-01-17 12:00
am i still on for tomorrow?"""


def play(out: TextIO) -> int:
    """Plays the two weeks on `out` and says how to go on; returns the exit status."""
    with opened("sqlite://") as engine:
        return _play(Talk(engine, io.StringIO(), out, ToldClock(START), RUNNER, ZoneInfo("Europe/Lisbon")), out)


def _play(talk: Talk, out: TextIO) -> int:
    status = talk.play(INTAKE.splitlines())
    out.write(
        f"{RUNNER} has answered the questions (75 min a week so far, endurance, six open days). Her first week:\n\n"
    )
    talk.out = out
    talk.show_last()
    for line in SCRIPT.splitlines():
        if line.startswith("# "):
            out.write(f"\n-- {line[2:]}\n")
        else:
            status = max(status, talk.play([line]))
    out.write(
        "\nThat was the real conversation, store and replanner, with the clock moved by hand.\n"
        "Go on yourself:   nudgebot talk --as You          (write /start; @ +1d lets a day pass)\n"
        "On Telegram:      see README.md, five minutes.\n"
    )
    return status
