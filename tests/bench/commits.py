"""The program as it was at another commit, to measure it beside this one in the same run."""

from __future__ import annotations

import subprocess
from pathlib import Path

HOME = Path(__file__).parents[2]


def copy_of(commit: str, folder: Path, *parts: str) -> Path:
    """`folder`, with the `parts` of the project as they were at `commit`; CalledProcessError if there is no such."""
    archive = subprocess.run(["git", "archive", commit, *parts], cwd=HOME, check=True, capture_output=True)
    subprocess.run(["tar", "-x", "-C", str(folder)], input=archive.stdout, check=True)
    return folder
