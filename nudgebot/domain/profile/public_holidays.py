"""Public holidays by country, to be offered as open or closed days; nothing is assumed of them."""

from __future__ import annotations

from datetime import date, timedelta
from functools import lru_cache


def in_week(country: str, first: date) -> tuple[tuple[date, str], ...]:
    """The public holidays of `country` (ISO 3166-1 alpha-2) in the seven days from `first` on, with English names.

    None for a country that is not told or not listed; regional holidays are left out.
    """
    listed = dict(entry for year in {first.year, (first + timedelta(days=6)).year} for entry in _of(country, year))
    days = (first + timedelta(days=n) for n in range(7))
    return tuple((day, listed[day]) for day in days if day in listed)


@lru_cache(maxsize=256)
def _of(country: str, year: int) -> tuple[tuple[date, str], ...]:
    if not country:
        return ()
    import holidays  # noqa: PLC0415 - two hundred countries are loaded where one is asked for, and no sooner

    try:
        return tuple(holidays.country_holidays(country, years=year, language="en_US").items())
    except NotImplementedError:
        return ()
