"""How a hold ends: by a clinician's word that the runner passes on, or by a misreading set right in two steps.

Nothing else here lifts it. Erasing everything ends it too, and a number that was misread is set right by its button.
"""

from __future__ import annotations

from dataclasses import replace

from nudgebot.domain.dialogue.health.hold_basis import earliest_word, physio_counts
from nudgebot.domain.dialogue.values import Answer, Heard, say, today_of, with_pause
from nudgebot.domain.messages.health import hold as words
from nudgebot.domain.model.actions import Resume
from nudgebot.domain.model.runner import Book, Ill, OnHold
from nudgebot.domain.model.speech import SAFETY, Button
from nudgebot.domain.text.sayings import asks_about_moving
from nudgebot.domain.text.triage import Level


def put_on_hold(
    book: Book, heard: Heard, level: Level, sign: str, *, asked_yes: bool = False, number: str = ""
) -> Book:
    """The book on hold: no session is planned any more. A hold as grave that already stands is kept.

    A second emergency starts the day again in which no word on running is taken. An illness waits under the hold.
    `number` is the number that alone carried the level, "" if words did, or if another sign was told before or after.
    """
    standing = book.standing
    if isinstance(standing, OnHold) and Level(standing.level).rank >= level.rank:
        since = heard.at if level is Level.EMERGENCY else standing.since
        kept = replace(standing, since=since, clearing=None, asked_yes=standing.asked_yes or asked_yes, number="")
        return replace(book, standing=kept, plan=(), asked=None)
    beneath = standing if isinstance(standing, Ill) else standing.beneath if isinstance(standing, OnHold) else None
    number = "" if isinstance(standing, OnHold) else number
    hold = OnHold(heard.at, level.value, sign, heard.text, asked_yes=asked_yes, number=number, beneath=beneath)
    return replace(with_pause(book, today_of(book, heard)), standing=hold, plan=(), asked=None, returning=None)


def show_hold(book: Book, heard: Heard | None = None) -> Answer:
    """What a line that is no log and no end of the hold gets: how it ends; within a day of an emergency the call."""
    country = book.profile.country
    fresh = heard is not None and is_fresh(book, heard)
    text = words.same_day(country) if fresh else words.hold_page(book.standing, country)
    return say(book, text, Button(words.CLEARED, Resume()), kind=SAFETY)


def is_fresh(book: Book, heard: Heard) -> bool:
    """Whether the emergency of a hold is so fresh that nobody's word on running is taken yet."""
    earliest = earliest_word(book, book.standing) if isinstance(book.standing, OnHold) else None
    return earliest is not None and heard.at < earliest


def answer_about_moving(book: Book, heard: Heard) -> Answer | None:
    """The answer to whether walking, cycling or the like may go on; None for a line that does not ask it."""
    if not asks_about_moving(heard.text):
        return None
    standing = book.standing
    # What cannot bear weight or is hot is of muscle and joint too: only the mildest hold leaves walking free.
    mild = isinstance(standing, OnHold) and standing.level == Level.CLINICIAN.value and physio_counts(book)
    text = words.MOVING_EASILY if mild else words.answer_moving(book.profile.country)
    return say(book, text, Button(words.CLEARED, Resume()), kind=SAFETY)
