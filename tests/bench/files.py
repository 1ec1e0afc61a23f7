"""What reading a file costs, beside the bare parser on the same bytes and beside a library that builds a tree.

python -m tests.bench.files                    # a file of a million points with heart rate
python -m tests.bench.files --points 3600      # an hour's run
"""

from __future__ import annotations

import argparse
import resource
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from time import process_time
from typing import IO
from xml.parsers import expat

from nudgebot.app.incoming_files import read_file
from nudgebot.domain.model.logbook import FileFault
from tests import gpx_files

MEGABYTE = 2**20


def bare(stream: IO[bytes]) -> None:
    """expat alone: every event is handed over, and nothing is done with it."""
    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.StartElementHandler = lambda *_: None
    parser.EndElementHandler = lambda *_: None
    parser.CharacterDataHandler = lambda *_: None
    parser.ParseFile(stream)


def ours(stream: IO[bytes]) -> None:
    """All of `nudgebot read`."""
    found = read_file(stream, gpx_files.START)  # type: ignore[arg-type]
    assert not isinstance(found, FileFault), found


def tree(stream: IO[bytes]) -> None:
    """gpxpy, which builds an object a point."""
    import gpxpy

    gpxpy.parse(stream.read())


def seconds(work: Callable[[IO[bytes]], None], path: Path) -> float:
    """CPU seconds of `work` on a file."""
    begun = process_time()
    with path.open("rb") as stream:
        work(stream)
    return process_time() - begun


def main() -> int:
    """Exit status: 1 where a million points take 20 s of CPU and more, or 300 MB."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--points", type=int, default=1_000_000, help="points with heart rate (default: a million)")
    parser.add_argument(
        "--tree", action="store_true", help="the library that builds a tree, too: minutes and gigabytes"
    )
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "long.gpx"
        with path.open("wb") as out:
            out.writelines(gpx_files.million_points(options.points))
        alone = seconds(bare, path)
        took = seconds(ours, path)
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
        print(f"{options.points} points, {path.stat().st_size / MEGABYTE:.0f} MB, {memory} MB of memory at most")
        print(f"the bare parser {alone:.2f} s, ours {took:.2f} s: ratio {took / alone:.2f}")
        if options.tree:
            other = seconds(tree, path)
            print(f"gpxpy {other:.2f} s: {other / took:.1f} times ours")
    return int(took >= 20 or memory >= 300)


if __name__ == "__main__":
    sys.exit(main())
