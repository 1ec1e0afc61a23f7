"""Writes a sample of a picture, of invented runners, and prints the words that go with it.

python -m tests.exchange.samples sample.png
python -m tests.exchange.samples sample.png --runners 12
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from nudgebot.exchange.pictures import draw
from nudgebot.training.progress import progress
from nudgebot.training.sheet import sheet
from nudgebot.training.wording.progress import caption
from nudgebot.training.wording.sheet import sheet_caption
from tests.exchange.books import NOON, TODAY, full_book, group_of


def main() -> int:
    """Exit status: 1 where nothing can be drawn."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("file", type=Path, help="where the picture goes")
    parser.add_argument(
        "--runners", type=int, default=0, help="how many are on the sheet (default: one runner's weeks)"
    )
    options = parser.parse_args()
    group = sheet(group_of(options.runners), NOON, TODAY)
    alone = progress(full_book(), TODAY)
    picture = draw(group if options.runners else alone)
    if picture is None:
        print("matplotlib is not installed", file=sys.stderr)
        return 1
    options.file.write_bytes(picture)
    print(sheet_caption(group) if options.runners else caption(alone))
    return 0


if __name__ == "__main__":
    sys.exit(main())
