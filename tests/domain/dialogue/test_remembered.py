"""What a button says that a line means is the reading of that message, and of the same words, from then on."""

from __future__ import annotations

import io
import json
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from nudgebot.domain.dialogue import remembered_readings
from nudgebot.domain.dialogue.answer import answer
from nudgebot.domain.dialogue.questions.pending_question import ask_which
from nudgebot.domain.dialogue.undo import journal
from nudgebot.domain.dialogue.values import Heard
from nudgebot.domain.model.actions import ChosenOption, ChosenReading, Option, Reply, Undo
from nudgebot.domain.model.runner import Book
from nudgebot.domain.text.reply import Intent, Reading, read
from nudgebot.storage import book_repository
from nudgebot.storage.database import opened
from nudgebot.tools import lines
from tests.corpus.lines import ORDINARY, TODAY, all_lines, labelled
from tests.domain.dialogue.health.test_hold import HOUR, START, runner

LINE = "Tuesday got eaten by the plumber, 37 of something"
DAY = timedelta(days=1)


def as_two(text: str, today: date) -> Reading:
    """A reading that asks: a run, or talk."""
    run = Reading(Intent.LOG, minutes=37, day=today)
    return replace(read(text, today), ask_back=True, minutes=None, choices=(run, Reading(Intent.HELLO)))


def asked(book: Book, line: str = LINE, key: str = "m1") -> Book:
    """The book with the question open which of the line's readings is meant."""
    heard = Heard(key, line, START, START)
    reading = read(line, book.today(START))
    assert reading.choices, "a line that is asked about"
    return ask_which(book, heard, reading).book


def pressed(book: Book, place: int) -> Book:
    """The book after one of the buttons."""
    assert book.asked is not None
    button = Reply(book.asked.token, ChosenReading(place))
    return answer(book, Heard("b1", "", START + HOUR / 60, START + HOUR / 60, button)).book


def chosen_run() -> tuple[str, Book, int]:
    """A line of the list that is asked about with a run among its readings, the book after that was pressed."""
    today = runner().today(START)
    for line in LINES:
        for place, each in enumerate(read(line, today).choices):
            if each.intent is Intent.LOG and each.minutes:
                return line, pressed(asked(runner(), line), place), each.minutes
    raise AssertionError("none of the lines is asked about")


# Harmless lines that are asked about, by people who are not met here: which ones is the reader's affair.
LINES = tuple(line.text for line in all_lines()[::17] if line.traffic == ORDINARY and read(line.text, TODAY).choices)


def test_what_was_pressed_is_the_reading_of_the_same_words_from_then_on() -> None:
    line, book, minutes = chosen_run()
    assert book.log[-1].minutes == minutes
    later = START + DAY
    again = answer(replace(book, asked=None), Heard("m2", f"  {line.upper()} ", later, later))
    assert again.book.asked is None or again.book.asked.what.value != "reading"
    assert len(again.book.log) == len(book.log) + 1 and again.book.log[-1].minutes == minutes
    assert again.book.log[-1].day == book.today(later)


def test_the_run_belongs_to_the_message_so_that_an_edit_takes_it_back() -> None:
    _, book, _ = chosen_run()
    assert book.log[-1].key == "m1"
    assert book.readings[-1].key == "m1"


def test_undo_forgets_a_reading_that_was_pressed_by_mistake() -> None:
    line, _, minutes = chosen_run()
    before = asked(runner(), line)
    places = [each.minutes for each in read(line, before.today(START)).choices]
    assert before.asked is not None
    button = Reply(before.asked.token, ChosenReading(places.index(minutes)))
    heard = Heard("b1", "", START + HOUR / 60, START + HOUR / 60, button)
    after = journal.keep_change(before, answer(before, heard), heard)
    undo = [button.action for each in after.says for button in each.buttons if isinstance(button.action, Undo)]
    assert undo == [Undo("m1")]
    change = journal.change_of(after.book, "m1")
    assert change is not None
    back = journal.take_out(after.book, change, heard).book
    assert (back.log, back.readings) == (before.log, ())
    edited, did = journal.forget_first_version(after.book, Heard("m1", line, heard.at, heard.at))
    assert did and edited.log == before.log and edited.readings == after.book.readings


def test_an_edit_in_other_words_is_read_as_what_its_first_version_was_said_to_be() -> None:
    _, book, _ = chosen_run()
    today = book.today(START)
    edited = remembered_readings.apply_remembered(
        book, Heard("m1", "38 of something", START, START), as_two("38", today), today
    )
    assert (edited.intent, edited.minutes, edited.ask_back) == (Intent.LOG, 37, False)
    other = remembered_readings.apply_remembered(
        book, Heard("m7", "38 of something", START, START), as_two("38", today), today
    )
    assert other.choices


def test_something_else_is_not_remembered() -> None:
    line = next(line for line in LINES if read(line, runner().today(START)).choices)
    book = asked(runner(), line)
    assert book.asked is not None
    button = Reply(book.asked.token, ChosenOption(Option.SOMETHING_ELSE))
    assert answer(book, Heard("b1", "", START, START, button)).book.readings == ()


def test_words_are_kept_only_with_consent_and_forgotten_with_it() -> None:
    _, book, _ = chosen_run()
    assert [one.line for one in book.readings] == [""]
    heard = Heard("m1", "anything", START, START)
    agreed = remembered_readings.set_teaching(book, heard, "yes").book
    kept = remembered_readings.remember(agreed, heard, LINE, Reading(Intent.HELLO))
    assert kept.readings[-1].line == LINE
    assert [one.line for one in remembered_readings.set_teaching(kept, heard, "no").book.readings] == [""]
    assert remembered_readings.set_teaching(kept, heard, "").book == kept


@pytest.mark.parametrize(
    ("line", "intent"),
    [("tight chest since noon", Intent.HELLO), ("knee sore, 30 done", Intent.LOG), ("meh", Intent.SYMPTOM)],
)
def test_a_line_about_health_is_never_kept_in_words(line: str, intent: Intent) -> None:
    book = replace(runner(), teaches=True)
    assert (
        remembered_readings.remember(book, Heard("m1", line, START, START), line, Reading(intent)).readings[-1].line
        == ""
    )


def test_the_host_gets_the_lines_of_whoever_agreed_and_of_nobody_else(tmp_path: Path) -> None:
    with opened(f"sqlite:///{tmp_path / 'nudgebot.db'}") as engine:
        for user, teaches in (("1", True), ("2", False)):
            with engine.begin() as conn:
                before = book_repository.create(conn, "chat", user, "Ana", START)
                heard = Heard("m1", LINE, START, START)
                after = remembered_readings.remember(
                    replace(before, teaches=True), heard, LINE, Reading(Intent.LOG, minutes=37)
                )
                book_repository.save(conn, before, replace(after, teaches=teaches))
        out = io.StringIO()
        assert lines.run(engine, out) == 0
    (row,) = out.getvalue().splitlines()
    assert "Ana" not in row
    line = labelled(row)
    assert (line.text, line.intent, line.minutes, line.author) == (LINE, Intent.LOG, 37, lines.LOT)
    assert json.loads(row)["lang"] == "en"
