"""Pictures (PNG), for a phone, dark or light, whatever the eyes. (docs/pictures.md)

matplotlib, which draws them, is optional and takes longer to load than all the rest together: it is loaded by the
first picture. It is not made for two threads at a time, so there is one picture at a time.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from importlib.util import find_spec
from threading import Lock
from typing import Final, TypeAlias, assert_never

from nudgebot.domain.model.logbook import ShownRun
from nudgebot.domain.overview.group_report import Sheet
from nudgebot.domain.overview.progress import Progress

KEPT: Final = 16  # pictures, in memory alone; who asks again before the data change gets the one drawn before

Shown: TypeAlias = Progress | Sheet | ShownRun
Draw: TypeAlias = Callable[[Shown], bytes | None]

_one_at_a_time = Lock()


def draw(shown: Shown) -> bytes | None:
    """The picture of `shown`; None if matplotlib is not installed. The same value is the same picture."""
    if not find_spec("matplotlib"):
        return None
    with _one_at_a_time:
        return _drawn(shown)


def prepare() -> None:
    """Loads what draws, where it is installed."""
    if find_spec("matplotlib"):
        with _one_at_a_time:
            from nudgebot.rendering import plot_style

            plot_style.warm_up()


def forget() -> None:
    """Forgets the pictures kept in memory."""
    _drawn.cache_clear()


def size_of(picture: bytes) -> tuple[int, int]:
    """Width and height of a PNG (px), from its header: ISO/IEC 15948 (PNG), 11.2.2 IHDR."""
    return int.from_bytes(picture[16:20], "big"), int.from_bytes(picture[20:24], "big")


@lru_cache(maxsize=KEPT)
def _drawn(shown: Shown) -> bytes:
    from nudgebot.rendering.group_report import group_sheet
    from nudgebot.rendering.heart_rate import heart_rate
    from nudgebot.rendering.weeks import twelve_weeks

    match shown:
        case Sheet():
            return group_sheet(shown)
        case ShownRun():
            return heart_rate(shown)
        case Progress():
            return twelve_weeks(shown)
        case _:
            assert_never(shown)
