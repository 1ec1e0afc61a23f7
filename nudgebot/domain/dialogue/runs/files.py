"""A file with a run in it: a log entry like any other, merged with the line that told of it, never counted twice."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta
from typing import Final

from nudgebot.domain.activity.track import activity_called
from nudgebot.domain.dialogue.runs import log_run, same_run
from nudgebot.domain.dialogue.values import Answer, Heard, ask, say, today_of
from nudgebot.domain.messages import runs as words
from nudgebot.domain.messages.runs import band_of, heart_remark
from nudgebot.domain.model.actions import ChosenValue
from nudgebot.domain.model.logbook import Activity, FileFault, LogEntry, Recording, Track, whole_minutes
from nudgebot.domain.model.parameters import LOG_REACHES
from nudgebot.domain.model.questions import Ask, Asked
from nudgebot.domain.model.runner import Book, Ill, OnHold
from nudgebot.domain.model.speech import SAFETY, Picture
from nudgebot.domain.overview.progress import speaks_miles
from nudgebot.domain.text.reply import Intent, Reading, read

CLOCKS_APART: Final = timedelta(minutes=10)  # by how much a device's clock may be ahead of ours
SHORT: Final = re.compile(r"\W*(?:\w+\W+){0,3}\w+\W*")  # an answer of at most four words
_ELSE: Final = re.compile(r"\W*(?:something|other|none)\b", re.IGNORECASE)


def take_file(book: Book, heard: Heard, file: Track | FileFault, *, open_question: bool = False) -> Answer:
    """A file, with what was written under it; `open_question` where the answer to that has just asked something."""
    if isinstance(file, FileFault):
        return say(book, words.NOT_TAKEN[file])
    day, today = book.today(file.started_at), today_of(book, heard)
    if file.started_at + timedelta(seconds=file.total_seconds) > heard.at + CLOCKS_APART:
        return say(book, words.NOT_TAKEN[FileFault.NOT_YET])
    if today - day > LOG_REACHES.span:
        return say(book, words.NOT_TAKEN[FileFault.TOO_OLD])
    if same_run.is_known(book, file):
        return say(book, words.IN_THE_LOG)
    said = _read_caption(heard.text, file.minutes, today)
    named = activity_called(heard.text) or (said.activity if said.activity is not Activity.RUN else None)
    activity = named or file.activity
    recording = _record(book, heard, file)
    before = same_run.find_typed(book, file, day, activity)
    if before is not None:
        return _merge(book, heard, replace(recording, key=before.key), before, said)
    if activity is None:
        if open_question:
            return say(book, words.FILE_LATER)
        text = f"{words.caption(recording, today, miles=speaks_miles(book))}\n{words.WHAT_KIND}"
        return _add_picture(
            ask(_with_recording(book, recording), heard, Ask.FILE_KIND, text, words.KINDS, detail=heard.key), recording
        )
    return _log(book, heard, recording, activity, said)


def read_kind(line: str) -> ChosenValue | None:
    """The kind that a short line names; None for a line about something else."""
    if not SHORT.fullmatch(line) or any(sign.isdigit() for sign in line):
        return None
    kind = activity_called(line) or (Activity.OTHER if _ELSE.match(line) else None)
    return None if kind is None else ChosenValue(kind.value)


def take_kind(book: Book, heard: Heard, asked: Asked, word: str) -> Answer | None:
    """The file that waited for its kind goes into the log; None for a word that is no kind."""
    recording = next((each for each in book.recordings if each.key == asked.detail), None)
    if word not in set(Activity):
        return None
    if recording is None:
        return say(book, words.FILE_GONE)
    said = _read_caption(asked.line, whole_minutes(recording.moving_seconds), book.today(asked.at))
    return _log(book, replace(heard, key=recording.key), recording, Activity(word), said, shown=True)


def _read_caption(line: str, minutes: int, today: date) -> Reading:
    """What the words under a file say of its run; they need not repeat its minutes to be a run's."""
    if not line.strip():
        return Reading(Intent.LOG)
    told = read(line, today)
    return told if told.intent is Intent.LOG else read(f"{minutes} min, {line}", today)


def _record(book: Book, heard: Heard, track: Track) -> Recording:
    """What is kept of a track, with the minutes about the runner's easy band as it is today."""
    band = band_of(book.profile, today_of(book, heard)) if track.seconds_at else None
    under, inside, over = track.seconds_within(band.low, band.high) if band else (None, None, None)
    return Recording(
        heard.key,
        heard.key,
        book.today(track.started_at),
        track.started_at,
        track.total_seconds,
        track.moving_seconds,
        track.distance_m,
        track.climb_m,
        track.heart_rate,
        under,
        inside,
        over,
        band.low if band else None,
        band.high if band else None,
        ",".join("" if beats is None else f"{beats}" for beats in track.pulse),
    )


def _with_recording(book: Book, recording: Recording) -> Book:
    """The book with the recording; those whose entry was taken back are dropped."""
    logged = {(entry.key, entry.day) for entry in book.log}
    kept = (each for each in book.recordings if (each.key, each.day) in logged)
    return replace(book, recordings=tuple(sorted((*kept, recording), key=lambda each: each.day)))


def _add_measures(entry: LogEntry, recording: Recording) -> LogEntry:
    kilometres = None if recording.distance_m is None else round(recording.distance_m / 1000, 2)
    return replace(
        entry, heart_rate=recording.heart_rate or entry.heart_rate, distance_km=kilometres or entry.distance_km
    )


def _log(
    book: Book, heard: Heard, recording: Recording, activity: Activity, said: Reading, *, shown: bool = False
) -> Answer:
    """The run in the log; `shown` where its picture and figures were sent with a question before."""
    if activity is not Activity.RUN:  # the range is one of running
        recording = replace(recording, low=None, high=None, under=None, inside=None, over=None)
    minutes = whole_minutes(recording.moving_seconds)
    entry = _add_measures(log_run.make_entry(book, heard, recording.day, minutes, activity, said), recording)
    done = log_run.log_entries(_with_recording(book, recording), heard, (entry,))
    if isinstance(book.standing, Ill):
        done = log_run.add_caution(book, done, activity)
    return done if shown else _add_caption(done, recording, heard, book)


def _merge(book: Book, heard: Heard, recording: Recording, before: LogEntry, said: Reading) -> Answer:
    """The runner's own minutes stand, since the plan was made of them; the file adds what it measured."""
    entry = _add_measures(before, recording)
    entry = replace(entry, effort=entry.effort if said.rpe is None else said.rpe, hard=entry.hard or said.hard)
    after = _with_recording(replace(book, log=tuple(entry if each is before else each for each in book.log)), recording)
    today = today_of(book, heard)
    text = words.say_same_run(before, today)
    if isinstance(book.standing, OnHold):
        said_again = words.say_logged_on_hold((entry,), today, book.profile.country)
        return _add_caption(say(after, said_again, kind=SAFETY), recording, heard, book)
    told = "\n".join(filter(None, (text, heart_remark(after, entry, today))))
    done = log_run.ask_about_heart(after, heard, entry, text) or say(after, told)
    return _add_caption(done, recording, heard, book)


def _add_caption(done: Answer, recording: Recording, heard: Heard, book: Book) -> Answer:
    caption = words.caption(recording, today_of(book, heard), miles=speaks_miles(book))
    return _add_picture(done.with_first(text=f"{done.says[0].text}\n{caption}"), recording)


def _add_picture(done: Answer, recording: Recording) -> Answer:
    """The answer with the picture, where there is a heart rate to draw."""
    return done.with_first(picture=Picture.RUN) if recording.pulse else done
