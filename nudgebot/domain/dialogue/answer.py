"""What we do about a line: the log, the plan, the standing, and what to say.

The order is the contract: a warning sign is answered before everything else, in every state of the conversation;
then a question that is open; then the line for what it is.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta

from nudgebot.domain.dialogue import (
    changes,
    conditions,
    health,
    hold,
    illness,
    log_run,
    mind,
    number_hold,
    onboarding,
    queries,
    reading_question,
    safety_question,
    weather,
)
from nudgebot.domain.dialogue.pending_question import answered_question
from nudgebot.domain.dialogue.values import ASKED_EXPIRES, Answer, Heard, ask, say, today_of
from nudgebot.domain.dialogue.weekly_pattern import shape_in
from nudgebot.domain.messages import changes as change_words
from nudgebot.domain.messages import illness as illness_words
from nudgebot.domain.messages import log as log_words
from nudgebot.domain.messages import pages, safety
from nudgebot.domain.messages import reading as reading_words
from nudgebot.domain.messages.conditions import SOMEBODY_ELSES, carried
from nudgebot.domain.model.logbook import Activity
from nudgebot.domain.model.runner import Ask, Book, Ill, Joining, LimitReason, OnHold, Walking
from nudgebot.domain.model.speech import Button, Say
from nudgebot.domain.profile import emergency, intake
from nudgebot.domain.text.illness_talk import worse_after_effort
from nudgebot.domain.text.reply import Intent, Reading, read, read_by_rules, read_yes_no
from nudgebot.domain.text.triage import Level, Verdict, triage

__all__ = ["STOP", "Answer", "Heard", "answer", "command_in"]

NOT_TEXT = "\N{OBJECT REPLACEMENT CHARACTER}"  # what a voice hands on for a picture, a sticker, a voice note

# Lines with one meaning, said by buttons and typed alike; a date may follow.
PHRASES = re.compile(
    r"(?P<what>did it|done|i did it|yes,? did it|all done|shorter|a bit shorter|not this week|let it go|"
    r"in place of my run|instead of my run|skip|tomorrow)(?:,? (?:on |of )?(?P<day>\d{4}-\d{2}-\d{2}))?[ .!]*",
    re.IGNORECASE,
)
MOVE = re.compile(r"move (\d{4}-\d{2}-\d{2}) to (\d{4}-\d{2}-\d{2})", re.IGNORECASE)
SNOOZES = {
    "later": "2 h",
    "snooze": "30 min",
    "snooze 30 min": "30 min",
    "in 30 min": "30 min",
    "snooze 2 h": "2 h",
    "in 2 h": "2 h",
    "in 2 hours": "2 h",
    "snooze this evening": "this evening",
    "this evening": "this evening",
    "remind me this evening": "this evening",
    "snooze tomorrow": "tomorrow",
    "remind me tomorrow": "tomorrow",
}
STOP = frozenset({"stop", "/stop", "stop reminders", "stop nudging", "leave me alone", "unsubscribe"})
LATER_TODAY = re.compile(
    r"\b(lunch(?:time)?|noon|midday|tonight|after work|later today|this (?:morning|afternoon|evening))\b", re.IGNORECASE
)
THANKS = re.compile(r"\b(thanks|thank you|thx|ty|cheers|gracias|danke|merci|obrigad[oa])\b", re.IGNORECASE)
WITHOUT_SLASH = frozenset({"help", "settings", "privacy", "season", "progress", "safety"})
FEELINGS = {"better": "better", "same": "same", "the same": "same", "worse": "worse", "much better": "better"}


def answer(book: Book, heard: Heard) -> Answer:
    """The answer to one line. `book` has been rolled to today by the caller and knows that the runner was heard."""
    command, rest = command_in(heard.text)
    # The words after a command pass triage as any others do.
    verdict = conditions.as_told(
        book, heard, triage("" if heard.about is not None else rest if command else heard.text)
    )
    reading = read(heard.text, today_of(book, heard)) if not command else None
    said = safety_question.answered(book, heard, verdict)
    return said or safety_question.asked_first(book, heard, verdict, reading, _answered(book, heard, verdict, reading))


def _answered(book: Book, heard: Heard, verdict: Verdict, reading: Reading | None) -> Answer:
    """The answer to a line that is not about the closed safety question."""
    command, rest = command_in(heard.text)
    today = today_of(book, heard)
    if verdict.level.rank >= Level.CLINICIAN.rank:
        return health.alarm(book, heard, verdict, reading)
    if heard.about and heard.about not in _open_tokens(book):
        return say(book, pages.NOT_NOW)
    if heard.text == NOT_TEXT:
        return say(book, pages.TEXT_ONLY)
    if heard.text.strip().casefold() in STOP:
        return say(replace(book, runner=replace(book.runner, stopped=True), asked=None), pages.STOPPED)
    if command:
        return _commanded(book, heard, command, rest)
    if (lifted := number_hold.lifted(book, heard)) is not None:
        return lifted
    if isinstance(book.standing, OnHold | Walking):
        going_on = hold.clearing_goes_on(book, heard, read_yes_no(heard.text))
        if going_on is not None:
            return going_on
        if safety.says_cleared(heard.text):
            return hold.clearing_begins(book, heard)
        if safety.misread(heard.text):
            return hold.misreading_begins(book, heard)
    if (told := conditions.told(book, heard)) is not None:
        return told
    if conditions.age_is_open(book):
        return conditions.answered(book, heard) or conditions.under_age(book, heard)
    if isinstance(book.standing, Joining):
        if book.asked is not None and book.asked.what in {Ask.ERASE, Ask.CONDITION}:
            return answered_question(book, heard, verdict) or onboarding.answered(replace(book, asked=None), heard)
        if verdict.told:
            after = onboarding.answered(illness.while_joining(book, heard, verdict), heard)
            return replace(after, says=(Say(illness_words.WHILE_JOINING), *after.says))
        return onboarding.answered(book, heard)
    if book.asked is not None:
        if heard.at - book.asked.at > ASKED_EXPIRES or book.today(book.asked.at) != today:
            book = replace(book, asked=None)
        elif (meant := reading_question.chosen(book, heard)) is not None:
            return _as_chosen(book, heard, meant)
        elif (settled := answered_question(book, heard, verdict)) is not None:
            return settled
    return _line(book, heard, verdict, reading or read(heard.text, today))


def _line(book: Book, heard: Heard, verdict: Verdict, reading: Reading) -> Answer:
    """A line for what it is, with no question open before it."""
    if (phrase := _phrase(book, heard)) is not None:
        return phrase
    if (word := heard.text.strip(" .!?").casefold()) in WITHOUT_SLASH:
        return _commanded(book, heard, word, "")
    if (told := _ill(book, heard, verdict, reading)) is not None:
        return told
    if isinstance(book.standing, OnHold) and reading.intent is not Intent.LOG:
        if reading.intent is Intent.UNDO:
            return log_run.undo(book, heard, reading.minutes)
        if (feeling := FEELINGS.get(heard.text.strip(" .!").casefold())) and mind.asked_about(book):
            return mind.feeling(book, heard, feeling)
        complains = verdict.level is not Level.NONE or verdict.question
        return (None if complains else _setting(hold.unasked(book), heard)) or hold.on_hold(book)
    if reading.intent in {Intent.SETTINGS, Intent.UNKNOWN, Intent.HELLO} and conditions.is_somebody_elses(heard.text):
        return say(book, SOMEBODY_ELSES)
    if verdict.level is Level.REST:
        return weather.beside(
            health.complaint(weather.closed(book, heard, reading), heard, verdict, reading), heard, reading
        )
    if verdict.question:
        return health.doubtful(book, heard, verdict)
    kept = weather.kept(book, heard, reading)
    if (about := weather.spoken_of(kept, heard, reading, book)) is not None:
        return about
    return weather.beside(_plain_line(kept, heard, reading), heard, reading)


def _plain_line(book: Book, heard: Heard, reading: Reading) -> Answer:
    """A line with no complaint in it, and about more than the weather."""
    shape = shape_in(book, heard.text, today_of(book, heard))
    if shape is not None:
        return onboarding.setting_asked(book, heard, "days", shape)
    setting = onboarding.setting_in(heard.text)
    if setting is not None and (reading.intent is not Intent.LOG or onboarding.is_setting(book, *setting)):
        return onboarding.setting_asked(book, heard, *setting)
    only_complaint = reading.intent is Intent.SYMPTOM and all(one.intent is not Intent.LOG for one in reading.choices)
    if reading.choices and not only_complaint:
        return reading_question.ask_which(book, heard, reading)
    return _act(book, heard, reading)


def _as_chosen(book: Book, heard: Heard, reading: Reading) -> Answer:
    """What a line is for, told by its writer: done as if it had been read so at once."""
    asked, closed = book.asked, replace(book, asked=None)
    if asked is None or reading.intent is Intent.UNKNOWN:
        return say(closed, reading_words.HELP)
    return _act(closed, replace(heard, text=asked.line, about=None), reading)


def _act(book: Book, heard: Heard, reading: Reading) -> Answer:
    """A line by its intent."""
    today = today_of(book, heard)
    match reading.intent:
        case Intent.LOG:
            return _log(book, heard, reading)
        case Intent.SKIP:
            return changes.skip(book, heard, changes.named_days(reading, today)[0])
        case Intent.MOVE:
            first = changes.session_meant(book, heard, reading.day or today)
            if not reading.days and first == today and LATER_TODAY.search(heard.text):
                return say(book, f"{change_words.ANY_TIME} {queries.next_of(book, heard)}")
            if not reading.days:
                return ask(book, heard, Ask.WHICH_DAY, change_words.WHICH_DAY, _next_days(book, today), day=first)
            return changes.move(book, heard, first, reading.days[0])
        case Intent.BUSY:
            return changes.busy(book, heard, changes.named_days(reading, today), reading.minutes)
        case Intent.AWAY:
            return changes.away(book, heard, () if reading.ask_back else tuple(reading.days))
        case Intent.BACK:
            return _back(book, heard)
        case Intent.STATUS:
            return queries.week(book, heard)
        case Intent.UNDO:
            return log_run.undo(book, heard, reading.minutes)
        case Intent.SYMPTOM:
            return safety_question.asked_about(book, heard)
        case Intent.SETTINGS:
            fact = onboarding.told_fact(heard.text, today)
            return (
                onboarding.setting_asked(book, heard, *fact) if fact else Answer(book, (pages.settings(book.answers),))
            )
        case Intent.ASK:
            return queries.asked_something(book, heard)
        case Intent.HELLO:
            return say(book, pages.THANKS if THANKS.search(heard.text) else pages.HELLO)
        case Intent.UNKNOWN:
            return _unknown(book, heard, reading)


def _ill(book: Book, heard: Heard, verdict: Verdict, reading: Reading) -> Answer | None:
    """The answer to an illness that is told, or to somebody who is ill; None for a line about something else."""
    walks_after = book.walk_run is not None and book.walk_run.walk_until is not None
    if (isinstance(book.standing, Ill) or walks_after) and worse_after_effort(heard.text):
        return health.worse_after_effort(book, heard)
    if isinstance(book.standing, Ill):
        return illness.while_ill(book, heard, verdict, reading)
    return illness.tell(book, heard, verdict, reading) if verdict.told else None


def _log(book: Book, heard: Heard, reading: Reading) -> Answer:
    """A finished session; without its minutes they are asked for, and what else the line holds is done as well."""
    today = today_of(book, heard)
    if reading.ask_back or (reading.minutes is None and not reading.logs):
        if reading.minutes is not None:
            return _sure(book, heard, reading.minutes, reading.day or today)
        choices = _likely_minutes(book, reading.day or today)
        return ask(book, heard, Ask.MINUTES, log_words.HOW_MANY, choices, day=reading.day or today)
    done = log_run.log(book, heard, reading)
    if done.book.asked is not None or reading.second_intent is None:
        return done
    also = replace(reading, minutes=None, logs=())
    rest: Answer | None = None
    match reading.second_intent:
        case Intent.BUSY if reading.days:
            rest = changes.busy(done.book, heard, also.days, None)
        case Intent.AWAY if reading.days:
            rest = changes.away(done.book, heard, also.days)
        case Intent.SKIP if reading.days:
            rest = changes.skip(done.book, heard, also.days[0])
        case Intent.MOVE if reading.days:
            planned = changes.planned_day(done.book, today + timedelta(days=1))
            rest = changes.move(done.book, heard, planned, also.days[0]) if planned else None
        case _:
            rest = None
    return done if rest is None else Answer(rest.book, (*done.says, *rest.says))


def _setting(book: Book, heard: Heard) -> Answer | None:
    """A line that changes a setting, or tells a fact or a place that is one; None for any other."""
    shape = shape_in(book, heard.text, today_of(book, heard))
    if shape is not None:
        return onboarding.setting_asked(book, heard, "days", shape)
    setting = onboarding.setting_in(heard.text)
    if setting is None or (setting[1] and not onboarding.is_setting(book, *setting)):
        setting = onboarding.told_fact(heard.text, today_of(book, heard))
    if setting is None:
        elsewhere = onboarding.setting_in(f"I am {heard.text}")
        setting = elsewhere if elsewhere is not None and onboarding.is_setting(book, *elsewhere) else None
    return None if setting is None else onboarding.setting_asked(book, heard, *setting)


def _unknown(book: Book, heard: Heard, reading: Reading) -> Answer:
    """No reading: a bare number is asked about, a way of saying how one feels is taken, the rest gets an example."""
    if (told := _setting(book, heard)) is not None:
        return told
    if health.about_somebody(heard.text):
        return say(book, pages.ABOUT_OTHERS.format(call=emergency.call(book.profile.country)))
    number = re.fullmatch(r"\s*(\d{1,4})\s*", heard.text)
    if reading.ask_back and number:
        return _sure(book, heard, int(number[1]), today_of(book, heard))
    feeling = FEELINGS.get(heard.text.strip(" .!").casefold())
    if feeling and book.symptoms:
        return health.feeling(book, heard, feeling)
    if heard.text.strip(" .!").casefold() in {"yes", "no", "ok", "okay"}:
        return say(book, pages.NOT_OPEN)
    return safety_question.not_understood(book, heard, triage(heard.text), reading)


def _sure(book: Book, heard: Heard, number: int, day: date) -> Answer:
    """A number that may be minutes or something else: asked, with the likely answers."""
    choices: list[tuple[str, str]] = []
    if 1 <= number <= 600:
        choices.append((f"{number} min", f"{number} min"))
    choices.append(("Not minutes", "no"))
    return ask(
        book, heard, Ask.SURE_MINUTES, log_words.sure_minutes(number), tuple(choices), day=day, detail=str(number)
    )


def _back(book: Book, heard: Heard) -> Answer:
    """Resuming: from a hold by its steps, from an illness by its question, from days away at once."""
    if isinstance(book.standing, OnHold | Walking):
        return hold.clearing_begins(book, heard)
    if isinstance(book.standing, Ill):
        return illness.back_from_illness(book, heard)
    return changes.back_from_away(book, heard)


def _commanded(book: Book, heard: Heard, command: str, rest: str) -> Answer:
    """A slash command; `rest` is what follows it."""
    if command == "start":
        if isinstance(book.standing, Joining):
            return onboarding.first_question(book)
        return say(book, f"{pages.WELCOME_BACK} {queries.next_of(book, heard)}", Button("The week", "/week"))
    if command == "help":
        return say(book, pages.HELP)
    if command == "privacy":
        return say(book, pages.privacy(heard.keeps))
    if command == "safety":
        page = [safety.safety_page(book.profile.country), *carried(book.answers, book.profile.country)]
        return Answer(book, (Say("\n".join(page), "safety"),))
    if command == "stop":
        return say(replace(book, runner=replace(book.runner, stopped=True)), pages.STOPPED)
    if command == "erase":
        return ask(book, heard, Ask.ERASE, pages.ERASE_ASK, (("Keep everything", "no"),))
    if isinstance(book.standing, Joining):
        if conditions.age_is_open(book):
            return conditions.under_age(book, heard)
        return onboarding.answered(book, heard) if command == "back" else onboarding.first_question(book)
    if command == "settings":
        if rest and (setting := onboarding.setting_in(rest)) is not None:
            return onboarding.setting_asked(book, heard, *setting)
        return Answer(book, (pages.settings(book.answers),))
    if command == "week":
        return queries.week(book, heard)
    if command == "season":
        return queries.season(book, heard)
    if command == "progress":
        return queries.progress(book, heard)
    if command == "easy":
        return queries.easy(book, heard)
    if command == "why":
        return queries.why(book, heard)
    if command == "undo":
        return log_run.undo(book, heard, None)
    if command == "back":
        return _back(book, heard)
    if command == "away":
        if isinstance(book.standing, OnHold):
            return hold.on_hold(book)
        reading = read_by_rules(f"away {rest}", today_of(book, heard)) if rest else None
        days = tuple(reading.days) if reading and not reading.ask_back else ()
        return changes.away(book, heard, days)
    return safety_question.not_understood(book, heard, triage(rest), None)


def _phrase(book: Book, heard: Heard) -> Answer | None:
    """Fixed phrases of our own buttons and their typed twins."""
    line = heard.text.strip()
    today = today_of(book, heard)
    if (moving := MOVE.fullmatch(line)) is not None:
        return changes.move(book, heard, date.fromisoformat(moving[1]), date.fromisoformat(moving[2]))
    snooze = SNOOZES.get(line.casefold().strip(" .!"))
    if snooze is not None:
        return hold.on_hold(book) if isinstance(book.standing, OnHold) else changes.snooze(book, heard, snooze)
    if isinstance(book.standing, OnHold) or (found := PHRASES.fullmatch(line)) is None:
        return None
    what = found["what"].casefold().replace(",", "")
    try:
        named = date.fromisoformat(found["day"]) if found["day"] else None
    except ValueError:
        return None
    if what in {"in place of my run", "instead of my run"}:
        return log_run.in_place_of_run(book, heard, named or today)
    session_day = named or (today if book.session_on(today) else None)
    session = book.session_on(session_day) if session_day else None
    if what in {"not this week", "let it go"}:
        return changes.skip(book, heard, session_day or today, reason=LimitReason.LET_GO)
    if what == "skip":
        return changes.skip(book, heard, session_day or today)
    if what == "tomorrow":
        return changes.move(book, heard, session_day or today, (session_day or today) + timedelta(days=1))
    if session is None or session_day is None:
        return ask(book, heard, Ask.MINUTES, log_words.HOW_MANY, _likely_minutes(book, today), day=named or today)
    if what in {"shorter", "a bit shorter"}:
        choices = _shorter_minutes(session.minutes)
        return ask(book, heard, Ask.MINUTES, log_words.HOW_MANY, choices, day=session_day)
    activity = Activity.WALK if session.kind == "walk" else Activity.RUN
    done = Reading(Intent.LOG, minutes=session.minutes, day=session_day, activity=activity)
    return log_run.log(book, heard, done)


def _open_tokens(book: Book) -> set[str]:
    """Tokens of the questions that are open now: the buttons of any other question are past."""
    tokens: set[str] = set()
    if book.asked is not None:
        tokens.add(book.asked.token)
    standing = book.standing
    if isinstance(standing, OnHold | Walking) and standing.clearing is not None:
        tokens.add(hold.clearing_token(standing.clearing))
    if isinstance(standing, Joining):
        tokens.add(intake.next_question(book.answers) or "adult")
    return tokens


def command_in(text: str) -> tuple[str, str]:
    """A slash command and what follows it, ("", "") for anything else."""
    found = re.fullmatch(r"\s*/([a-z_]{1,32})(?:@\w+)?(?:\s+(.*))?", text, re.IGNORECASE | re.DOTALL)
    return (found[1].casefold(), (found[2] or "").strip()) if found else ("", "")


def _likely_minutes(book: Book, day: date) -> tuple[tuple[str, str], ...]:
    session = book.session_on(day)
    likely = (session.minutes, max(20, session.minutes - 10), 20) if session else (20, 30, 40)
    return tuple((f"{m} min", f"{m} min") for m in dict.fromkeys(likely))


def _shorter_minutes(planned: int) -> tuple[tuple[str, str], ...]:
    likely = (planned - 10, planned - 20, 20, 10)
    return tuple((f"{m} min", f"{m} min") for m in dict.fromkeys(m for m in likely if 10 <= m < planned))


def _next_days(book: Book, today: date) -> tuple[tuple[str, str], ...]:
    days = [today + timedelta(days=i) for i in range(1, 4)]
    return tuple((f"{day:%A}", f"{day:%A}".casefold()) for day in days if book.session_on(day) is None)
