"""Whether a runner speaks of miles: by their own words first, else by their country."""

from __future__ import annotations

from typing import Final

from nudgebot.domain.model.event import KM_IN_A_MILE
from nudgebot.domain.model.runner import Book

MILES_IN: Final = frozenset({"GB", "US"})  # roads are measured in miles: Unicode CLDR, unit preferences; from memory


def speaks_miles(book: Book) -> bool:
    """The unit of the newest run that was told with a distance, else that of an event's name, else the country's.

    Distances are kept in km to the metre. One from a file says nothing: it was measured, and not told.
    """
    measured = {(each.key, each.day) for each in book.recordings}
    for entry in reversed(book.log):
        if entry.distance_km and (entry.key, entry.day) not in measured:
            return _told_in_miles(entry.distance_km)
    event = book.intake.event
    if event is not None and "mile" in event.what.casefold():
        return True
    return book.profile.country in MILES_IN


def _told_in_miles(km: float) -> bool:
    """Whether a distance, to the metre, comes to hundredths of a mile, and not to hundredths of a kilometre."""
    hundredths = km / KM_IN_A_MILE * 100
    return abs(hundredths - round(hundredths)) < 0.04 and abs(km * 100 - round(km * 100)) > 1e-6
