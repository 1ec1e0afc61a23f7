"""One run told twice, by a file and by a line: which entry it is, so that it is never counted twice."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Final

from nudgebot.domain.dialogue.values import Answer, Heard, ask, say, today_of
from nudgebot.domain.messages import runs as words
from nudgebot.domain.model.actions import ChosenOption, Option
from nudgebot.domain.model.logbook import Activity, LogEntry, Recording, Track
from nudgebot.domain.model.parameters import EASY_EFFORT, Rule
from nudgebot.domain.model.questions import Ask
from nudgebot.domain.model.runner import Book, OnHold
from nudgebot.domain.model.speech import SAFETY

WITHIN: Final = Rule("minutes of a line and of a file that are one run, apart", 10, "%", "house")
WITHIN_LEAST: Final = Rule("minutes of a line and of a file that are one run, apart, at least", 5, "min", "house")


def _fits(minutes: int, measured: Track | Recording) -> bool:
    """Whether minutes that somebody typed may be those of the file: with breaks or without, and rounded."""
    room = max(WITHIN_LEAST.value, WITHIN.of(minutes))
    return measured.moving_seconds / 60 - room <= minutes <= measured.total_seconds / 60 + room


def recording_of(book: Book, entry: LogEntry) -> Recording | None:
    """What a file told of an entry, None if no file did."""
    return next((each for each in book.recordings if (each.key, each.day) == (entry.key, entry.day)), None)


def is_known(book: Book, track: Track) -> bool:
    """Whether the log holds a recording of the same time: the same file again, or one of a second device."""
    start, end = track.started_at.timestamp(), track.started_at.timestamp() + track.total_seconds
    logged = {(entry.key, entry.day) for entry in book.log}
    for each in book.recordings:
        begin = each.started_at.timestamp()
        both = min(end, begin + each.total_seconds) - max(start, begin)
        if (each.key, each.day) in logged and both > min(track.total_seconds, each.total_seconds) / 2:
            return True
    return False


def find_typed(book: Book, track: Track, day: date, activity: Activity | None) -> LogEntry | None:
    """The entry of a line that told of the run in a file, None if there is none; a line before its start is none."""
    same = [
        entry
        for entry in book.log
        if entry.day == day
        and activity in {None, entry.activity}
        and _fits(entry.minutes, track)
        and recording_of(book, entry) is None
        and (entry.noted_at is None or entry.noted_at >= track.started_at)
    ]
    return same[-1] if same else None


def ask_if_same(book: Book, heard: Heard, entry: LogEntry) -> Answer | None:
    """A line about a run that a file told of before: what it adds is kept, and a second run only if it is said."""
    for each in reversed(book.log):
        measured = recording_of(book, each) if each.day == entry.day and each.activity is entry.activity else None
        if measured is None or not _fits(entry.minutes, measured):
            continue
        merged = replace(
            each,
            effort=each.effort if entry.effort is None else entry.effort,
            heart_rate=each.heart_rate or entry.heart_rate,
            hard=each.hard or entry.hard,
        )
        after = replace(book, log=tuple(merged if one is each else one for one in book.log))
        lines = [words.say_same_run(each, today_of(book, heard))]
        if merged != each and merged.is_run and (entry.hard or (entry.effort or 0) > EASY_EFFORT.value):
            lines.append(words.say_not_easy(entry.effort))
        if isinstance(book.standing, OnHold):
            told = words.say_logged_on_hold((merged,), today_of(book, heard), book.profile.country)
            return say(after, told, kind=SAFETY)
        second = (("A second run", ChosenOption(Option.SECOND)),)
        return ask(after, heard, Ask.SAME_AGAIN, "\n".join(lines), second, day=entry.day)
    return None
