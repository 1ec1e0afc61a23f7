"""What somebody says who is ill or on a hold: a temperature, a day, a yes or no, and who cleared running.

It reads words and judges nobody: a line that names nobody it knows is asked about, and the runner has the last word.
No line ends a hold by itself: each only begins the steps that do.
"""

from __future__ import annotations

from datetime import date, timedelta
from enum import StrEnum

from nudgebot.domain.model.parameters import Rule
from nudgebot.domain.text.fevers import BODY, BODY_F, FEVER_FROM
from nudgebot.domain.text.folding import fold, squeezed
from nudgebot.domain.text.reply import read_days
from nudgebot.domain.text.sayings import plain, says_the_last_of_it
from nudgebot.domain.text.word_files import patterns

CLEARERS = patterns("clearance")
P = patterns("illness")
# A no to the question about signs of the heart starts the running again: of a line it is heard at once or not at all.
BRIEF = Rule("an answer about signs of the heart that is searched whole, up to", 4, "words", "house")
AT_ONCE = Rule("the beginning of a longer one, in which a yes or a no counts", 3, "words", "house")


class Clearer(StrEnum):
    """Whose word a line passes on."""

    DOCTOR = "doctor"  # a doctor, hospital, emergency department, specialist or clinic
    MIDWIFE = "midwife"
    PHYSIO = "physiotherapist"
    NOBODY = "nobody"  # the writer, a search, a friend, a relative who is none of these
    UNTOLD = "untold"  # a name, or words that say nothing of it


def clearer_in(text: str) -> Clearer:
    """Who a line says it was. A relative or friend who is said to be a doctor is one; a vet is not."""
    line = squeezed(text)
    doubtful = CLEARERS.no_clinician.search(line) or CLEARERS.of_somebody_else.search(line) or _denied(line)
    if not doubtful:
        for kind, words in (
            (Clearer.DOCTOR, CLEARERS.doctor),
            (Clearer.MIDWIFE, CLEARERS.midwife),
            (Clearer.PHYSIO, CLEARERS.physio),
        ):
            if words.search(line):
                return kind
    return Clearer.NOBODY if doubtful or CLEARERS.nobody.search(line) else Clearer.UNTOLD


def _denied(line: str) -> bool:
    found = CLEARERS.denied.search(line)
    return found is not None and not (found[0].startswith("no ") and CLEARERS.in_the.search(line))


def bare_temperature(text: str) -> tuple[str, float] | None:
    """A number as written and in degrees Celsius that somebody who is ill can only mean as a temperature."""
    line = fold(text)[0]
    if P.a_time.search(line) or P.a_run.search(line):
        return None
    numbers = P.number.findall(line)
    if len(numbers) != 1:
        return None
    value = float(numbers[0].replace(",", "."))
    if FEVER_FROM - 1 <= value <= BODY[1]:
        return numbers[0], value
    return (numbers[0], (value - 32) / 1.8) if BODY_F[0] + 2 <= value <= BODY_F[1] else None


def question_answered(text: str) -> bool | None:
    """Whether a line says yes or no to the first question back; None where it says neither, or both.

    A sign named in the line never gets here: triage comes first.
    """
    words = text.split()
    line = plain(text if len(words) <= BRIEF.value else " ".join(words[: AT_ONCE.value]))
    yes, no = P.yes.search(line) is not None, P.nothing.search(line) is not None
    if yes != no:
        return yes
    return False if not yes and P.just_tired.search(plain(text)) else None


def told_day(text: str, today: date) -> date | None:
    """The day gone that answers "which day?": a name, a date, or a day of the month; never the minutes of a run."""
    line = P.until.sub("", fold(text)[0])
    if P.a_time.search(line) or P.a_run.search(line):
        return None
    named = [day for day in read_days(line, today, past=True) if day <= today]
    numbers = [int(n) for n in P.day_of_month.findall(line) if 1 <= int(n) <= 31]
    if len(numbers) == 1:
        gone = (today - timedelta(days=back) for back in range(31))
        named += [day for day in gone if day.day == numbers[0]][:1]
    return max(named, default=None)


def last_day_told(text: str, today: date) -> date | None:
    """The day gone that a line says was the last of it, where that is what it says; None for any other."""
    return told_day(text, today) if says_the_last_of_it(text) else None
