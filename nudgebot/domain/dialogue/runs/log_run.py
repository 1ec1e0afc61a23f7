"""What was done goes into the log."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from nudgebot.domain.dialogue.runs import same_run
from nudgebot.domain.dialogue.values import Answer, Heard, ask, limit, regrow, replan, say, today_of, with_entries
from nudgebot.domain.messages import runs as words
from nudgebot.domain.messages.health.complaints import YES_NO
from nudgebot.domain.messages.health.hold import CLEARED
from nudgebot.domain.messages.health.illness import RAN, WALKED
from nudgebot.domain.messages.health.safety import QUESTIONS
from nudgebot.domain.messages.runs import heart_remark, is_too_fast
from nudgebot.domain.model.actions import InPlaceOfRun, Resume
from nudgebot.domain.model.logbook import Activity, LogEntry, counted_minutes
from nudgebot.domain.model.parameters import EASY_EFFORT, IN_A_ROW
from nudgebot.domain.model.questions import Ask
from nudgebot.domain.model.runner import Book, Ill, LimitReason, OnHold, Walking
from nudgebot.domain.model.speech import SAFETY, Button
from nudgebot.domain.model.week import STEP, SessionKind
from nudgebot.domain.overview.progress import first_in
from nudgebot.domain.planning import dose, limits, more, planner
from nudgebot.domain.profile import places
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.reply import Intent, Reading
from nudgebot.domain.text.word_files import patterns

P = patterns("dialogue")

WALKS = frozenset({Activity.WALK, Activity.MOBILITY})  # what is fine while ill


def read_entries(book: Book, heard: Heard, reading: Reading) -> tuple[LogEntry, ...]:
    """The log entries that a reading reports: one, or one a run where the line reports several."""
    runs = [(run.day, run.minutes) for run in reading.logs]
    if not runs and reading.minutes is not None:
        runs = [(reading.day or today_of(book, heard), reading.minutes)]
    # Minutes alone, from somebody whose session is a walk, were a walk.
    named = (
        reading.activity is not Activity.RUN
        or reading.distance_km is not None
        or P.running.search(squeezed(heard.text))
    )
    entries: list[LogEntry] = []
    for day, minutes in runs:
        activity = reading.activity if named or not _walks(book, day) else Activity.WALK
        entries.append(make_entry(book, heard, day, minutes, activity, reading))
    return tuple(entries)


def make_entry(book: Book, heard: Heard, day: date, minutes: int, activity: Activity, said: Reading) -> LogEntry:
    """The log entry of a session, with what was said about it beside what was measured.

    Other aerobic work counts toward the dose where it was said to replace a run, or is itself the session.
    """
    is_session = activity in {Activity.WALK, Activity.HIKE} and _walks(book, day)
    in_place = activity is not Activity.RUN and (said.in_place_of_run or is_session)
    return LogEntry(
        heard.key, day, minutes, activity, in_place_of_run=in_place, effort=said.rpe, heart_rate=said.heart_rate,
        distance_km=said.distance_km, hard=said.hard, cap=limits.session_max(book, day), noted_at=heard.at,
    )  # fmt: skip


def _walks(book: Book, day: date) -> bool:
    """Whether the session of `day` is a walk, or would be one."""
    session = book.session_on(day)
    walk_is_session = session is not None and session.kind is SessionKind.WALK
    walks_first = book.walk_run is not None and book.walk_run.step == 0
    return isinstance(book.standing, Walking) or walk_is_session or walks_first


def log(book: Book, heard: Heard, reading: Reading, *, sure: bool = False) -> Answer:
    """A finished session: stored, counted, and the rest of the week looked at again.

    `sure` skips the questions about doubles: the runner has just answered one.
    """
    entries = read_entries(book, heard, reading)
    if sure or len(entries) != 1:
        return log_entries(book, heard, entries, sure=sure)
    doubt = same_run.ask_if_same(book, heard, entries[0]) or _ask_if_same(book, heard, entries[0])
    return doubt or log_entries(book, heard, entries)


def log_entries(book: Book, heard: Heard, entries: tuple[LogEntry, ...], *, sure: bool = False) -> Answer:
    """The same for entries that are none the log holds already."""
    today = today_of(book, heard)
    after, remarks, replanned = add_to_log(book, heard, entries)
    if isinstance(book.standing, OnHold):
        told = words.say_logged_on_hold(entries, today, book.profile.country)
        return say(after, told, Button(CLEARED, Resume()), kind=SAFETY)
    if isinstance(book.standing, Walking) and any(entry.is_run for entry in entries):
        return say(after, words.say_keep_walking(entries, today, book.profile.country))
    text = words.say_logged(after, entries, today, remarks, replanned)
    if len(entries) == 1 and not sure and (question := _second_run(book, heard, entries[0])) is not None:
        return ask(after, heard, Ask.SECOND_RUN, f"{text}\n{question}", words.SECOND_OR_CORRECTION, day=entries[0].day)
    asked = next(filter(None, (ask_about_heart(after, heard, entry, text) for entry in entries)), None)
    if asked := asked or _ask_if_more(book, after, heard, entries, text):
        return asked
    if not entries[0].is_run and not entries[0].counts and book.session_on(entries[0].day) is not None:
        return say(after, text, Button("In place of my run", InPlaceOfRun(entries[0].day)))
    return say(after, text)


def _ask_if_more(before: Book, after: Book, heard: Heard, entries: tuple[LogEntry, ...], text: str) -> Answer | None:
    """The kind question after more than planned, once in two weeks; none beside the word about a big jump."""
    day = entries[-1].day
    week = after.week_of(day)
    if week is None or not more.newly(before, after, day) or words.BIG_JUMP in text:
        return None
    question = words.ask_if_more(counted_minutes(after.log, week.start), week.target)
    return ask(after, heard, Ask.MORE, f"{text}\n{question}", words.ONE_OFF_OR_MORE, day=day)


def _add_remarks(after: Book, entries: tuple[LogEntry, ...], remarks: tuple[str, ...]) -> tuple[str, ...]:
    """The remarks, with a word about run days in a row, or else a warm one where nothing else is to be said."""
    newest = entries[-1]
    row = limits.days_in_a_row(after, newest.day)
    if newest.is_run and row == max(IN_A_ROW.value, dose.run_days_allowed(after.profile) + 1):
        return (*remarks, words.say_days_in_a_row(row))
    first = first_in(after, newest) if not any(remarks) and len(entries) == 1 else None
    return remarks if first is None else (words.WARM[first],)


def add_to_log(
    book: Book, heard: Heard, entries: tuple[LogEntry, ...]
) -> tuple[Book, tuple[str, ...], planner.Replanned | None]:
    """The book with the entries and the rest of the week planned again; what there is to remark on them."""
    after, remarks = _store(book, heard, entries)
    today = today_of(book, heard)
    hearts = (heart_remark(after, entry, today) for entry in entries)
    if any(entry.day < today for entry in entries):
        after = planner.roll(after, today)  # a day within a break may end the way back, or shorten it
    remarks = (*remarks, *filter(None, (*hearts, words.say_way_back(book.returning, after.returning))))
    remarks = _add_remarks(after, entries, remarks)
    after, replanned = replan(after, heard)
    return after, remarks, replanned


def ask_about_heart(book: Book, heard: Heard, entry: LogEntry, text: str) -> Answer | None:
    """`text`, with the question about an average that no heart of that age can be expected to reach; else None."""
    if not is_too_fast(book, entry, today_of(book, heard)):
        return None
    asks = QUESTIONS["pulse"].format(call=places.emergency_call(book.profile.country))
    return ask(book, heard, Ask.SIGN, f"{text}\n{entry.heart_rate} {asks}", YES_NO, detail="pulse")


def store(book: Book, heard: Heard, reading: Reading | None) -> tuple[Book, tuple[LogEntry, ...]]:
    """The book with the run that a line reports and nothing else changed: for lines where something graver is said."""
    if reading is None or reading.intent is not Intent.LOG or reading.ask_back:
        return book, ()
    entries = read_entries(book, heard, reading)
    return with_entries(book, entries), entries


def _store(book: Book, heard: Heard, entries: tuple[LogEntry, ...]) -> tuple[Book, tuple[str, ...]]:
    """The book with the entries, and the remarks they call for."""
    remarks: list[str] = []
    after = with_entries(book, entries)
    for entry in entries:
        if not entry.is_run:
            continue
        if (soon := _say_too_soon(book, entry, book.today(heard.at))) is not None:
            remarks.append(soon)
        if entry.effort is not None and entry.effort > EASY_EFFORT.value:
            remarks.append(words.say_not_easy(entry.effort))
        elif entry.hard:
            remarks.append(words.say_not_easy(None))
        if _jumps(book, after, entry) and entry.day + timedelta(days=1) >= book.today(heard.now):
            after = limit(after, (entry.day + timedelta(days=1),), LimitReason.REST)
            remarks.append(words.BIG_JUMP)
    if after.half_runs:
        ill_until = max((pause.last for pause in book.pauses), default=date.min)
        # One from before shortens no way back.
        halves = sum(entry.is_run and entry.day > ill_until for entry in entries)
        after = replace(after, half_runs=max(0, after.half_runs - halves))
    return after, tuple(dict.fromkeys(remarks))


def _say_too_soon(book: Book, entry: LogEntry, today: date) -> str | None:
    """What is said of a run in the days that an illness keeps free, or for walking, once it is over; else None."""
    if isinstance(book.standing, Ill | OnHold) or entry.day > today:
        return None
    closed = book.limit_on(entry.day)
    if closed is not None and closed.reason is LimitReason.ILL and not closed.minutes:
        return words.STILL_WAITS
    until = book.walk_run.walk_until if book.walk_run is not None else None
    return words.say_walks_first(until, today) if until is not None and entry.day < until else None


def _jumps(before: Book, after: Book, entry: LogEntry) -> bool:
    """Whether this run is a big jump that was not said yet: one of its own, or the first of a full seven days.

    A run as it was planned is none, whatever the days before it were.
    """
    planned = before.session_on(entry.day)
    if not limits.is_jump(after, entry) or (planned is not None and entry.minutes <= planned.minutes):
        return False
    week = [e for e in before.log if e.is_run and 0 <= (entry.day - e.day).days < 7]
    return entry.minutes >= entry.cap + STEP or not any(limits.is_jump(before, e) for e in week)


def _ask_if_same(book: Book, heard: Heard, entry: LogEntry) -> Answer | None:
    """The question about a line that repeats what the log already holds; nothing is stored until it is answered."""
    if not any((e.day, e.minutes, e.activity) == (entry.day, entry.minutes, entry.activity) for e in book.log):
        return None
    question = words.ask_if_same(entry, today_of(book, heard))
    return ask(book, heard, Ask.SAME_AGAIN, question, words.SAME_OR_SECOND, day=entry.day)


def _second_run(book: Book, heard: Heard, entry: LogEntry) -> str | None:
    """The question about a second run on one day; the first stays in the log until the runner corrects it."""
    runs = [e for e in book.log if e.day == entry.day and e.is_run]
    return words.ask_second_or_correction(runs[-1], entry, today_of(book, heard)) if runs and entry.is_run else None


def keep_newest(book: Book, heard: Heard, day: date) -> Answer:
    """The newest run of `day` replaces the ones before it."""
    newest = newest_noted([e for e in book.log if e.day == day and e.is_run])
    kept = tuple(e for e in book.log if e is newest or e.day != day or not e.is_run)
    after, replanned = replan(regrow(replace(book, log=kept, asked=None), today_of(book, heard)), heard)
    return say(after, words.say_logged(after, (newest,), today_of(book, heard), (), replanned))


def count_in_place(book: Book, heard: Heard, day: date) -> Answer:
    """The other session of that day counts in place of the run."""
    others = [e for e in book.log if e.day == day and not e.is_run]
    if not others:
        return say(book, words.NOTHING_THAT_DAY)
    newest = newest_noted(others)
    counted = replace(newest, in_place_of_run=True)
    after, replanned = replan(replace(book, log=tuple(counted if e is newest else e for e in book.log)), heard)
    return say(after, words.say_logged(after, (counted,), today_of(book, heard), (), replanned))


def newest_noted(entries: Sequence[LogEntry]) -> LogEntry:
    """The entry that was noted last; of those noted at the same moment the last of the log."""
    first = datetime.min.replace(tzinfo=UTC)
    return max(enumerate(entries), key=lambda pair: (pair[1].noted_at or first, pair[0]))[1]


def add_caution(book: Book, done: Answer, activity: Activity) -> Answer:
    """The answer to what was logged while ill, with the caution where anything was."""
    if done.book.asked is not None and done.book.log == book.log:
        return done
    return done.with_first(text=f"{done.says[0].text}\n{WALKED if activity in WALKS else RAN}")
