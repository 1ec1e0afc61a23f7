"""Damages files of runs and calendars at random for as long as it is told; each must come to a value, and soon.

python -m tests.fuzz.files --seconds 60
"""

from __future__ import annotations

import argparse
import gzip
import io
import random
import sys
import time
import zipfile

from nudgebot.app.incoming_files import read_file
from nudgebot.domain.model.logbook import BusyTimes, FileFault, Track
from tests import gpx_files
from tests.domain.calendar.test_calendar import ics

SLOWEST = 5.0  # s of CPU; each of these files is small


def seeds() -> list[bytes]:
    """Files that are right."""
    plain = gpx_files.run_of(20)
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("run.gpx", plain)
    rules = ("FREQ=WEEKLY;BYDAY=TU,TH", "FREQ=MONTHLY;BYDAY=1MO", "FREQ=YEARLY;BYMONTH=3;BYMONTHDAY=10", "FREQ=DAILY")
    events = [f"DTSTART;TZID=Europe/Lisbon:20270111T090000\r\nDURATION:PT1H\r\nRRULE:{rule}" for rule in rules]
    return [plain, gzip.compress(plain), packed.getvalue(), ics(*events), ics("DTSTART;VALUE=DATE:20270310")]


def damaged(content: bytes, dice: random.Random) -> bytes:
    """The file with a few cuts, copies, strange bytes and swapped numbers."""
    out = bytearray(content)
    for _ in range(dice.randint(1, 8)):
        place = dice.randrange(len(out) + 1)
        length = dice.choice((1, 2, 8, 200))
        match dice.randrange(4):
            case 0:
                del out[place : place + length]
            case 1:
                out[place:place] = out[place : place + length] * dice.randint(1, 5)
            case 2:
                out[place : place + 1] = dice.randbytes(length)
            case _:
                digits = [n for n, byte in enumerate(out) if 48 <= byte <= 57]
                if digits:
                    out[dice.choice(digits)] = dice.choice(b"0123456789-")
    return bytes(out)


def main() -> int:
    """Exit status: 1 where a file raised something, or took too long; its bytes are printed."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seconds", type=float, default=60)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    dice, right = random.Random(options.seed), seeds()
    until, came = time.monotonic() + options.seconds, {"track": 0, "busy times": 0}
    while time.monotonic() < until:
        content = damaged(dice.choice(right), dice)
        begun = time.process_time()
        try:
            found = read_file(io.BytesIO(content), gpx_files.START)
        except Exception as error:
            print(f"{error!r} from {content!r}")
            return 1
        if time.process_time() - begun > SLOWEST:
            print(f"{time.process_time() - begun:.1f} s for {content!r}")
            return 1
        what = found.value if isinstance(found, FileFault) else "track" if isinstance(found, Track) else "busy times"
        assert isinstance(found, Track | BusyTimes | FileFault)
        came[what] = came.get(what, 0) + 1
    print(", ".join(f"{number} {what}" for what, number in sorted(came.items(), key=lambda each: -each[1])))
    return 0


if __name__ == "__main__":
    sys.exit(main())
