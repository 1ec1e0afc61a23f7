"""A hold ends in its own ways and in no other; from every standing and every question there is a way out."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nudgebot.app import decide
from nudgebot.domain.dialogue import own_commands
from nudgebot.domain.dialogue.answer import answer
from nudgebot.domain.dialogue.values import Answer, Heard
from nudgebot.domain.messages.health.complaints import UNDER_AGE_ASK
from nudgebot.domain.model.actions import Action, ChosenValue, Feel, Feeling, Reply, Skip
from nudgebot.domain.model.questions import Ask, Asked, ClearingStep
from nudgebot.domain.model.runner import Book, Ill, Joining, OnHold, Standing, Training, Walking
from nudgebot.domain.planning import season
from nudgebot.domain.planning.limits import low, steady, steady_until
from nudgebot.domain.profile.intake import profile
from nudgebot.domain.profile.intake_codec import from_rows
from tests.domain import plans

START = datetime(2027, 2, 10, 9, 0, tzinfo=UTC)
HOUR = timedelta(hours=1)
ANSWERS = {
    "adult": "yes", "active": "yes", "disease": "no", "signs": "no", "pregnancy": "no", "medicine": "no",
    "goal": "endurance", "weekly": "180", "longest": "90", "commute": "no", "days": "mon 60, wed 60, sat 90",
    "long_day": "sat", "zone": "UTC", "run_time": "18:00", "remind_at": "07:00", "quiet": "21:30-06:30",
    "country": "PT", "birth_year": "1975",
}  # fmt: skip
EMERGENCY = "crushing pain in my chest"
CALF = "one calf is swollen, red and warm"
SHIN = "one spot on my shin bone hurts when I press it"
HEAD = "banged my head on a beam, headache since"


def runner() -> Book:
    told = from_rows(ANSWERS)
    return replace(plans.steady(), intake=told, profile=profile(told))


def said(book: Book, *lines: str, at: datetime = START) -> Answer:
    """The answer to the last of `lines`, a minute apart."""
    given_answer = Answer(book, ())
    for n, line in enumerate(lines):
        now = at + timedelta(minutes=n)
        heard = Heard(f"k{at}{n}", line, now, now)
        given_answer = decide.follow_alone(given_answer.book, heard) or answer(given_answer.book, heard)
    return given_answer


def text(answered: Answer) -> str:
    return "\n".join(each.text for each in answered.says)


@pytest.mark.parametrize(
    ("sign", "who", "ends"),
    [
        (CALF, "Dr Bell, today", True),
        (CALF, "the clinic on Tower Street, tomorrow", False),
        (CALF, "my midwife, today", False),
        (CALF, "my physio, today", False),
        (CALF, "me, today", False),
        (CALF, "an app, today", False),
        (CALF, "my aunt the vet, today", False),
        (CALF, "Dr Bell, last Sunday", False),
        (SHIN, "my physio, today", True),
        (SHIN, "my yoga friend, today", False),
        ("pregnant, and the baby has been very quiet today", "my midwife, today", True),
    ],
)
def test_whose_word_ends_a_hold(sign: str, who: str, ends: bool) -> None:
    held = said(runner(), sign).book
    assert isinstance(held.standing, OnHold)
    later = START + timedelta(days=2) if held.standing.level == "emergency" else START + HOUR
    after = said(held, "/back", "yes", who, "cleared", at=later).book
    assert isinstance(after.standing, OnHold) is not ends


@pytest.mark.parametrize("hours", [0, 5, 14, 23])
def test_no_word_is_taken_within_a_day_of_an_emergency(hours: int) -> None:
    held = said(runner(), EMERGENCY).book
    answered = said(held, "/back", at=START + hours * HOUR)
    assert "112" in text(answered)
    after = said(answered.book, "yes", "Dr Bell, today", "cleared", at=START + (hours + 0.2) * HOUR).book
    assert isinstance(after.standing, OnHold)


def test_after_an_emergency_it_starts_at_half_and_nothing_grows_for_two_weeks() -> None:
    day = START + timedelta(hours=30)
    after = said(said(runner(), EMERGENCY).book, "/back", "yes", "Dr Bell, today", "cleared", at=day).book
    assert isinstance(after.standing, Training)
    assert after.half_runs == 2 or after.returning is not None
    assert steady_until(after) == day.date() + timedelta(days=14)
    week = max(after.weeks, key=lambda each: each.start)
    assert season.next_week(after, week.end + timedelta(days=1)).full <= week.base


def test_after_a_knock_to_the_head_it_starts_with_walking() -> None:
    # Return to sport in steps, light aerobic exercise such as walking first: McCrory et al., Br J Sports Med 2017.
    after = said(said(runner(), HEAD).book, "/back", "yes", "Dr Bell, today", "cleared", at=START + 3 * HOUR).book
    assert after.walk_run is not None
    assert after.walk_run.step == 0


def test_a_physiotherapist_clears_no_hold_that_another_sign_joined() -> None:
    held = said(runner(), SHIN, CALF).book
    after = said(held, "/back", "yes", "my physio, today", "cleared", at=START + HOUR).book
    assert isinstance(after.standing, OnHold)


def test_a_misread_line_leaves_the_other_sign_standing() -> None:
    held = said(runner(), CALF, EMERGENCY).book
    day = START + timedelta(days=1)
    after = said(held, "I was only joking", "yes", "yes", at=day).book
    assert isinstance(after.standing, OnHold)
    assert after.standing.level == "urgent"
    assert isinstance(said(after, "that was about my dog", "yes", "yes", at=day + HOUR).book.standing, Training)


def test_an_emergency_is_no_misreading_on_its_own_day() -> None:
    held = said(runner(), EMERGENCY).book
    for line in ("only joking", "that was about my father", "war nur ein Scherz", "c'était une blague"):
        assert isinstance(said(held, line, "yes", "yes", at=START + HOUR).book.standing, OnHold)


def test_low_mood_brings_no_hold_and_nothing_grows_meanwhile() -> None:
    for line in ("been feeling low and hopeless for weeks", "sometimes I think of hurting myself"):
        answered = said(runner(), line)
        assert isinstance(answered.book.standing, Training)
        assert answered.book.plan == runner().plan
        assert "hold" not in text(answered)
        assert low(answered.book, START.date() + timedelta(days=13))
        assert not low(answered.book, START.date() + timedelta(days=14))


@pytest.mark.parametrize("line", ["I want to end my life tonight", "I have taken a lot of pills", "i've got a plan"])
def test_intent_is_an_emergency_above_all_after_low_mood(line: str) -> None:
    after = said(runner(), "sometimes I think of hurting myself", line).book
    assert isinstance(after.standing, OnHold)
    assert after.standing.level == "emergency"


def test_a_clearance_given_before_a_condition_was_told_does_not_count_for_it() -> None:
    told = from_rows({**ANSWERS, "cleared": "2027-01-20 Dr Bell, yesterday"})
    book = replace(runner(), intake=told)
    after = said(book, "I have epilepsy", "yes").book
    assert isinstance(after.standing, Walking)
    back = said(after, "/back", "yes", "Dr Bell, today", "cleared", at=START + HOUR).book
    assert isinstance(back.standing, Training)


def test_spotting_is_urgent_for_somebody_who_told_a_pregnancy() -> None:
    assert isinstance(said(runner(), "a little spotting after the walk").book.standing, Training)
    after = said(runner(), "I am pregnant", "yes", "a little spotting after the walk").book
    assert isinstance(after.standing, OnHold)
    assert after.standing.level == "urgent"


def test_blood_thinners_make_an_emergency_of_a_knock_to_the_head() -> None:
    after = said(runner(), "I take warfarin", "yes", "bumped my head on the car door, all good").book
    assert isinstance(after.standing, OnHold)
    assert after.standing.level == "emergency"


@pytest.mark.parametrize(
    ("told", "over"),
    [("I have had bulimia", "I'm no longer bulimic"), ("no period for five months", "my period is back")],
)
def test_what_keeps_the_weeks_level_can_be_taken_out_again(told: str, over: str) -> None:
    kept = said(runner(), told, "yes").book
    assert steady(kept, START.date())
    assert steady(said(kept, over, "no", at=START + HOUR).book, START.date())
    assert not steady(said(kept, over, "yes", at=START + HOUR).book, START.date())


def test_a_run_while_walking_gets_the_rule_again_each_time() -> None:
    walking = replace(runner(), standing=Walking(START, "screening"))
    first = said(walking, "50 min run, effort 7")
    second = said(first.book, "40 min run yesterday")
    for answered in (first, second):
        assert "keep to walking" in text(answered)
        assert "slower next time" not in text(answered)


HOSTILE = (
    "yes", "no", "ja", "oui", "me", "google", "my wife, she is a vet", "cleared", "undo", "/undo", "/start", "/back",
    "/back now please", "/week", "/stop", "stop", "goal health", "days tue 40, sat 60", "30 easy", "ran 20 yesterday",
    "better", "much better now", "fine again", "only joking", "that was about my father", "it was a typo", "skip",
    "tomorrow", "did it", "busy tomorrow", "away for 3 days", "back", "snooze 2 h", "as planned", "hello", "qwertz",
    "I have epilepsy", "I am 16", "my knee is a bit sore", "fever 38.5", "doctor says I can run", "Dr Bell",
    "Dr Bell, today", "my physio, yesterday", "today", "a doctor", "none of these", EMERGENCY, CALF, "low for weeks",
)  # fmt: skip


@settings(max_examples=80, deadline=None)
@given(
    st.sampled_from((EMERGENCY, CALF, SHIN)),
    st.lists(st.tuples(st.sampled_from(HOSTILE), st.integers(0, 30)), min_size=1, max_size=25),
)
def test_no_sequence_of_lines_ends_a_hold_but_its_own_ways(sign: str, lines: list[tuple[str, int]]) -> None:
    book = said(runner(), sign).book
    now = START
    newest = START  # the newest emergency
    for n, (line, hours) in enumerate(lines):
        now += timedelta(hours=hours, minutes=1)
        before = book
        answered = answer(book, Heard(f"{n}", line, now, now))
        book = answered.book
        if line == EMERGENCY:
            newest = now
        standing = before.standing
        if not isinstance(standing, OnHold) or isinstance(book.standing, OnHold):
            continue
        grave = standing.level == "emergency"
        assert standing.clearing is not None
        assert now - standing.clearing.since <= timedelta(days=1)
        if standing.clearing.step is ClearingStep.WORD:
            assert line == "cleared"
            assert not grave or now - newest >= timedelta(days=1) or sign != EMERGENCY
            assert any(word in standing.clearing.who for word in ("Dr Bell", "doctor", "physio"))
        else:
            assert standing.clearing.step is ClearingStep.MISREAD_SURE
            assert line in {"yes", "ja", "oui"}
            assert not standing.asked_yes
            assert not grave or now.date() > standing.since.date()
        return


HELD = OnHold(START - timedelta(days=3), "urgent", "leg clot signs", CALF)
WAYS_OUT: dict[Ask, tuple[tuple[str, ...], str]] = {
    # the lines that open the question, and one that closes it
    Ask.MINUTES: (("ran",), "no"),
    Ask.SURE_MINUTES: (("500",), "no"),
    Ask.SECOND_RUN: (("30 min run", "20 min run"), "correction"),
    Ask.SAME_AGAIN: (("30 min run", "30 min run"), "the same"),
    Ask.UNTIL: (("away",), "friday"),
    Ask.WHICH_DAY: (("move my run",), "friday"),
    Ask.SETTING: (("goal health",), "no"),
    Ask.SIGN: (("what should I do if I get chest pain?",), "no"),
    Ask.CONDITION: (("I have epilepsy",), "no"),
    Ask.CHOICE: (("my thigh is a bit sore",), "rest"),
    Ask.ERASE: (("/erase",), "no"),
    Ask.WIND: (("-18 C here, ok to run?",), "calm"),
    Ask.HUMIDITY: (("30 degrees, ok to run?",), "dry"),
    Ask.REPEAT: (("the first friday of every month I can't run",), "no"),
    Ask.SOMEBODY_ELSE: (("my neighbour collapsed in front of me",), "that was not about me"),
    Ask.TAKE_BACK: (("30 min run", "delete thursday's 10"), "no"),
}


@pytest.mark.parametrize("what", sorted(WAYS_OUT))
def test_every_open_question_has_a_way_out(what: Ask) -> None:
    lines, out = WAYS_OUT[what]
    opened = said(runner(), *lines).book
    assert opened.asked is not None, lines
    assert opened.asked.what is what
    closed = said(opened, out, at=START + HOUR).book
    assert closed.asked is None or closed.asked.what is not what
    # A line about something else is answered for what it is, and the question lapses within a day.
    assert said(opened, "/week", at=START + HOUR).says
    counted = said(opened, "25 min run", at=START + timedelta(hours=26)).book
    assert sum(each.minutes for each in counted.log) >= sum(each.minutes for each in opened.log)


@pytest.mark.parametrize(("what", "out"), [(Ask.ILL_BACK, "no"), (Ask.ILL_BACK, "yes"), (Ask.LAST_FEVER, "today")])
def test_every_question_of_an_illness_has_a_way_out(what: Ask, out: str) -> None:
    ill = Ill(START.date() - timedelta(days=9), START.date() - timedelta(days=8))
    asked = Asked(what, START, "token", "better", START.date() - timedelta(days=8))
    closed = said(replace(runner(), standing=ill, asked=asked), out).book
    assert closed.asked is None or closed.asked.what is not what


ILLNESSES_TOLD = (
    "flu again, nothing today",
    "threw up twice, nothing stays in",
    "Magen-Darm, heute und morgen geht nichts",
    "tengo gripe, hoy nada",
    "39 de fièvre, pas de sortie aujourd'hui",
    "vomitei a noite toda, hoje não dá",
)


@pytest.mark.parametrize("line", ILLNESSES_TOLD)
def test_an_illness_told_to_any_open_question_stops_the_running(line: str) -> None:
    questions = [said(runner(), *lines).book for lines, _ in WAYS_OUT.values()]
    for what in (Ask.ILL_BACK, Ask.LAST_FEVER, Ask.NOT_ILL, Ask.NOT_ILL_SURE, Ask.MORE):
        detail = "fever" if what is Ask.LAST_FEVER else ""
        asked = Asked(what, START, "token", "better", START.date() - timedelta(days=2), detail)
        questions.append(replace(runner(), asked=asked))
    for book in questions:
        assert book.asked is not None
        assert isinstance(said(book, line, at=START + HOUR).book.standing, Ill), book.asked.what


@pytest.mark.parametrize("line", ["calf gone tight", "belly is queasy, no appetite either", "hombro tocado"])
def test_a_complaint_is_no_answer_to_the_question_whether_to_erase(line: str) -> None:
    told = said(said(runner(), "/erase").book, line)
    alone = said(runner(), line)
    assert text(told) == text(alone)


def test_dark_words_beside_the_question_whether_to_erase_are_asked_about() -> None:
    told = said(said(runner(), "/erase").book, "I keep looking at the bridge")
    assert told.book.safety_question is not None
    assert told.says[0].text.startswith("Is that something you feel?")
    assert told.says[-1].text == "Nothing is deleted."


@pytest.mark.parametrize(
    "line",
    [
        "no idea what it is but half my sight is gone on the left, came on as I poured the milk",
        "I woke with the arm not doing what I tell it, nothing else, it passed after a while I suppose",
    ],
)
def test_a_no_somewhere_in_a_long_line_ends_no_illness(line: str) -> None:
    day = START.date() - timedelta(days=2)
    asked = Asked(Ask.ILL_BACK, START, "token", "better", day)
    book = replace(runner(), standing=Ill(day, day), asked=asked)
    assert not isinstance(said(book, line).book.standing, Training)


@pytest.mark.parametrize("out", ["a one-off", "grow", "no"])
def test_the_question_after_more_than_planned_has_a_way_out(out: str) -> None:
    asked = Asked(Ask.MORE, START, "token", "40 easy", START.date())
    assert said(replace(runner(), asked=asked), out).book.asked is None


def test_every_question_there_is_was_walked() -> None:
    # A coach's question has its tests beside coaches, those about an illness above and in its dialogues, the one about
    # a reading beside the readers, those about files and calendars beside files.
    elsewhere = {
        Ask.FILE_KIND,
        Ask.MORE,
        Ask.BUSY_DAYS,
        Ask.TELL,
        Ask.REMOVE,
        Ask.DISMISS,
        Ask.READING,
        Ask.ILL_BACK,
        Ask.LAST_FEVER,
        Ask.NOT_ILL,
        Ask.NOT_ILL_SURE,
    }
    assert set(Ask) - set(WAYS_OUT) == elsewhere


@pytest.mark.parametrize(
    ("standing", "lines"),
    [
        (HELD, ("/back", "yes", "Dr Bell, today", "cleared")),
        (HELD, ("that was about my cat", "yes", "yes")),
        (Walking(START, "screening"), ("/back", "yes", "Dr Bell, today", "cleared")),
        (Walking(START - timedelta(days=9), "pregnancy"), ("/back", "yes", "my midwife, today", "cleared")),
        (Ill(START.date() - timedelta(days=9), START.date() - timedelta(days=8)), ("better", "no")),
        (Training(), ("40 easy",)),
    ],
)
def test_every_standing_has_a_way_back_to_running(standing: Standing, lines: tuple[str, ...]) -> None:
    book = replace(runner(), standing=standing)
    assert isinstance(said(book, *lines).book.standing, Training)


def test_an_age_under_18_stops_the_running_until_it_is_answered_and_only_a_yes_erases() -> None:
    asked = said(runner(), "I am 16 by the way")
    assert isinstance(asked.book.standing, Joining)
    assert not [each for each in asked.book.plan if each.day >= START.date()]
    again = said(asked.book, "30 easy", "/week", "what?", at=START + timedelta(days=3))
    assert "under 18" in text(again)
    assert not again.erase
    back = said(again.book, "no, 18 or over", at=START + timedelta(days=3, hours=1))
    assert isinstance(back.book.standing, Training)
    assert said(again.book, "yes", at=START + timedelta(days=3, hours=1)).erase


def pressed(book: Book, action: Action) -> Answer:
    """The answer to a button, an hour after the start."""
    return answer(book, Heard("pressed", "", START + HOUR, START + HOUR, action))


def test_how_the_mood_is_can_be_pressed_on_hold_too() -> None:
    held = said(runner(), CALF, "been feeling low and hopeless for weeks").book
    assert isinstance(held.standing, OnHold)
    assert text(pressed(held, Feel(Feeling.BETTER))) == text(said(held, "better", at=START + HOUR))
    assert text(pressed(held, Feel(Feeling.BETTER))) != text(pressed(held, Skip()))


@pytest.mark.parametrize(
    ("line", "level"), [("/note Ben bumped my head", "none"), ("/back bumped my head", "emergency")]
)
def test_what_a_coach_notes_of_somebody_is_no_sign_of_the_coachs(line: str, level: str) -> None:
    command = decide.command_in(line)
    on_thinners = said(runner(), "I take warfarin", "yes").book
    assert command is not None
    assert command.signs_of(on_thinners, Heard("k", line, START, START)).level == level


def intake_at(question: str) -> Book:
    """The book of somebody who joins and has answered every question before this one."""
    told = from_rows(dict(list(ANSWERS.items())[: list(ANSWERS).index(question)]))
    return replace(runner(), intake=told, profile=profile(told), standing=Joining(), plan=(), weeks=())


def test_start_keeps_to_the_question_about_the_age() -> None:
    young = said(intake_at("goal"), "I'm 15").book
    again = own_commands.start(young, Heard("k", "/start", START, START), "")
    assert again.says[0].text == UNDER_AGE_ASK


def test_a_pressed_answer_of_the_intake_leaves_what_was_asked_beside_it() -> None:
    asked = said(intake_at("goal"), "I have asthma").book
    assert asked.asked is not None
    assert asked.asked.what is Ask.CONDITION
    after = pressed(asked, Reply("goal", ChosenValue("endurance"))).book
    assert after.asked is None
    assert after.intake.goal is not None
