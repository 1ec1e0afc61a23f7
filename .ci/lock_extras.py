"""Refuses a lock in which an extra is missing that an installed package asks for; run where that lock is installed.

A bare pin (`coverage==7.17`) under a wish for `coverage[toml]` makes pip before 23.3 resolve `coverage[toml]` anew, and
stop at the hashes as soon as a newer version is out.
"""

from __future__ import annotations

import re
import sys
from importlib.metadata import Distribution, distributions
from pathlib import Path

_PIN = re.compile(r"(?m)^([A-Za-z0-9._-]+)(?:\[([^\]]*)\])?==")
_WISH = re.compile(r"([A-Za-z0-9._-]+)\s*\[([^\]]*)\]")


def plain(name: str) -> str:
    """A project's normalised name (PyPA name normalisation)."""
    return re.sub(r"[-_.]+", "-", name).lower()


def locked(lock: str) -> dict[str, set[str]]:
    """The extras that a lock names, by project."""
    return {plain(name): {plain(extra) for extra in extras.split(",") if extra} for name, extras in _PIN.findall(lock)}


def wishes(package: Distribution) -> list[tuple[str, str, str]]:
    """What `package` asks for with an extra, but for its own extras: (who asks, project, extra)."""
    found = []
    for line in package.requires or ():
        requirement, _, marker = line.partition(";")
        if "extra ==" in marker.replace("extra==", "extra =="):
            continue
        if match := _WISH.match(requirement.strip()):
            found += [(package.name, plain(match[1]), plain(extra.strip())) for extra in match[2].split(",")]
    return found


def missing(pins: dict[str, set[str]], asked: list[tuple[str, str, str]]) -> list[str]:
    """One line for every asked-for extra that the lock does not name."""
    return [
        f"{who} asks for {name}[{extra}], the lock pins {name} without it"
        for who, name, extra in asked
        if name in pins and extra not in pins[name]
    ]


if __name__ == "__main__":
    faults = missing(
        locked(Path(sys.argv[1]).read_text(encoding="utf-8")),
        [wish for each in distributions() for wish in wishes(each)],
    )
    sys.exit("\n".join(faults) or 0)
