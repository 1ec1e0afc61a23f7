"""What easy means for this runner: full sentences and effort first, a heart-rate band where there is one to give."""

from __future__ import annotations

from datetime import date

from nudgebot.domain.model.logbook import LogEntry
from nudgebot.domain.model.runner import Book, Profile
from nudgebot.domain.profile.effort import Band, Heart, Trust, check_the_band, easy_band, is_beyond_maximum, is_over

EASY_IS = (
    "Easy means that you can speak in full sentences, not in a few words, and that the effort is 4 of 10 or less. "
    "If in doubt, slower; walking a while is fine."
)
TRUST = {
    Trust.RESERVE: "from your measured maximum and resting heart rate",
    Trust.MAXIMUM: "from your measured maximum",
    Trust.AGE: "a rough guess from age alone",
}


def band_of(profile: Profile, today: date) -> Band | None:
    """The easy band of a profile; none with rate-limiting medicine, in pregnancy, or where nothing is known."""
    age = today.year - profile.birth_year if profile.birth_year else None
    return easy_band(Heart(age, profile.resting_hr, profile.max_hr, profile.medicine or profile.pregnancy))


def easy_page(profile: Profile, today: date) -> str:
    """How easy feels, and the band if there is one."""
    lines = [EASY_IS]
    band = band_of(profile, today)
    if profile.medicine or profile.pregnancy:
        lines.append(
            "With medicine that slows the heart, and in pregnancy, a heart-rate range says nothing; go by breath."
        )
    elif band is not None:
        error = f", give or take {band.error}" if band.error else ""
        lines.append(f"If you like numbers: {band.low} to {band.high} beats a minute, {TRUST[band.trust]}{error}.")
    if band is not None and band.trust is Trust.AGE:
        lines.append("A measured one is better: resting heart rate 52 · maximum heart rate 178.")
    return "\n".join(lines)


def is_too_fast(book: Book, entry: LogEntry, today: date) -> bool:
    """Whether the average of a run is over what a heart of that age can be expected to reach at all."""
    if entry.heart_rate is None or not entry.is_run:
        return False
    profile = book.profile
    age = today.year - profile.birth_year if profile.birth_year else None
    return is_beyond_maximum(Heart(age, profile.resting_hr, profile.max_hr), entry.heart_rate)


def heart_remark(book: Book, entry: LogEntry, today: date) -> str:
    """What an average over the band calls for; "" if there is nothing to say. The run counts in full."""
    band = band_of(book.profile, today)
    if band is None or entry.heart_rate is None or not entry.is_run or not is_over(band, entry.heart_rate):
        return ""
    if is_too_fast(book, entry, today):
        return ""  # asked about instead
    if check_the_band(band, book.log):
        return "The third run over the easy range: check the range (/easy) or the sensor, and go by full sentences."
    return f"{entry.heart_rate} is over the easy range ({band.low} to {band.high}): slower next time."
