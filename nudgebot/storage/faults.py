"""What can be wrong with the store, each said in one line: faults of the world and of a setting, no bugs of ours."""

from typing import Final

FAULT: Final = "fault"  # in `Connection.info`: what an error of the driver is in one line, None for a bug of ours


class StoreFault(Exception):  # noqa: N818 - a fault of the world, said in one line, not a bug of ours
    """The store cannot be used; `str()` is one line for the person who runs the bot, with `parts` put into `text`."""

    def __init__(self, text: str, *parts: object) -> None:
        super().__init__(text.format(*parts))


class BadAddress(StoreFault):
    """What was given as the database's address is none that we can use: a fault of the setting, not of the world."""


class NotMadeYet(StoreFault):
    """There is no nudgebot in the database yet; `serve` makes it as it starts."""


class OlderVersion(StoreFault):
    """The database waits to be brought up to date, which `serve` does as it starts."""
