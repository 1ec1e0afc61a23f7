"""Writes a sample of a picture, of invented runners, and prints the words that go with it.

python -m tests.rendering.samples sample.png
python -m tests.rendering.samples sample.png --runners 30 --page 2
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path

from nudgebot.domain.messages.group.roster import sheet_caption
from nudgebot.domain.messages.plan.plan_pages import progress_caption
from nudgebot.domain.overview.group_report import sheet
from nudgebot.domain.overview.progress import progress
from nudgebot.rendering.pictures import draw
from tests.rendering.books import NOON, TODAY, full_book, group_of


def main() -> int:
    """Exit status: 1 where nothing can be drawn."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("file", type=Path, help="where the picture goes")
    parser.add_argument(
        "--runners", type=int, default=0, help="how many are on the sheet (default: one runner's weeks)"
    )
    parser.add_argument("--page", type=int, default=1, help="which page of the sheet")
    parser.add_argument("--light", action="store_true", help="on a light ground")
    options = parser.parse_args()
    group = sheet(group_of(options.runners), NOON, TODAY, options.page, light=options.light)
    alone = replace(progress(full_book(), TODAY), light=options.light)
    picture = draw(group if options.runners else alone)
    if picture is None:
        print("matplotlib is not installed", file=sys.stderr)
        return 1
    options.file.write_bytes(picture)
    print(sheet_caption(group) if options.runners else progress_caption(alone))
    return 0


if __name__ == "__main__":
    sys.exit(main())
