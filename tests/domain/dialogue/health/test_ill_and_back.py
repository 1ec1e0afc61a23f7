"""An illness in the words of people who write quite differently: not better, better at last, back too soon, late."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from nudgebot.domain.model.actions import Feeling
from nudgebot.domain.model.parameters import HEALTH_ASKED, ILLNESS_LINGERS
from nudgebot.domain.model.questions import Ask
from nudgebot.domain.model.runner import Ill, LimitReason, OnHold, Training
from nudgebot.domain.model.week import WalkRun
from nudgebot.domain.overview.group import Member, State, sight
from nudgebot.domain.text.sayings import feeling_told, says_well
from tests.domain.chats import Chat, marta
from tests.domain.model.test_rules_rule import changed


@pytest.mark.parametrize(
    "line",
    ["nae better the day", "not any better", "besser wird's ned", "kein bisschen besser", "nada mejor", "mejor no",
     "rien de mieux", "nem um pouco melhor", "sin mejoría"],
)  # fmt: skip
def test_whoever_denies_being_better_is_not_better(line: str) -> None:
    assert not says_well(line)
    chat = marta()
    chat.says("flu, in bed", line)
    assert isinstance(chat.book.standing, Ill)
    assert chat.book.asked is None or chat.book.asked.what is not Ask.ILL_BACK


@pytest.mark.parametrize("line", ["ya mejorcita", "melhorzinho hoje", "grand again", "weel again", "better, no fever"])
def test_better_is_heard_in_its_other_forms(line: str) -> None:
    chat = marta()
    assert "any chest pain" in chat.says("flu, in bed", line)


@pytest.mark.parametrize(
    ("line", "how"),
    [("igualita", Feeling.SAME), ("sigo igualito", Feeling.SAME), ("it's no worse", Feeling.SAME),
     ("schlechter is es ned", Feeling.SAME), ("pas pire", Feeling.SAME), ("geht wieder", Feeling.BETTER),
     ("peorcita", Feeling.WORSE), ("not much better", Feeling.SAME), ("it has gone to my chest", Feeling.WORSE),
     ("geht schon", Feeling.SAME), ("could be worse", Feeling.SAME), ("ça va", Feeling.SAME),
     ("ça va mieux", Feeling.BETTER), ("voy tirando", Feeling.SAME), ("melhorei", Feeling.BETTER),
     ("wieder auf den Beinen", Feeling.BETTER), ("downhill since last night", Feeling.WORSE)],
)  # fmt: skip
def test_how_somebody_is_is_heard(line: str, how: Feeling) -> None:
    assert feeling_told(line) is how


def test_no_better_to_how_are_you_is_not_asked_about() -> None:
    chat = marta()
    chat.says("flu, in bed")
    chat.waits(1)
    chat.says("nae better")
    assert chat.book.safety_question is None


@pytest.mark.parametrize(
    "answer", ["no, nothing like that", "naw nothin like that", "nein, nichts davon", "nada de eso"]
)
def test_the_question_back_is_answered_an_evening_later(answer: str) -> None:
    chat = marta()
    chat.says("stomach bug, up all night")
    chat.waits(3)
    chat.says("all better")
    chat.waits(1)
    chat.says(answer)
    assert not isinstance(chat.book.standing, Ill)


def test_the_question_back_lapses_by_its_row() -> None:
    with changed(HEALTH_ASKED, 20):
        chat = marta()
        chat.says("stomach bug, up all night")
        chat.waits(3)
        chat.says("all better")
        chat.waits(1)
        chat.says("no, nothing like that")
        assert isinstance(chat.book.standing, Ill)


@pytest.mark.parametrize(
    "line",
    ["the last of it was on thursday", "zuletzt am Donnerstag", "la última vez fue el jueves", "dernier jour : jeudi"],
)  # fmt: skip
def test_the_last_day_of_it_is_taken_by_itself_and_asked_about(line: str) -> None:
    chat = marta()  # a Tuesday
    chat.says("vomiting since last night")
    chat.waits(5)
    assert "any chest pain" in chat.says(line)
    ill = chat.book.standing
    assert isinstance(ill, Ill)
    assert ill.last_upset is not None
    assert f"{ill.last_upset:%A}" == "Thursday"


def test_when_the_last_run_was_is_no_end_of_an_illness() -> None:
    chat = marta()
    chat.says("flu, in bed")
    assert "any chest pain" not in chat.says("my last run was on monday")


def after_covid() -> Chat:
    chat = marta()
    chat.says("covid, tested positive")
    chat.waits(3)
    chat.says("better", "no")
    assert not isinstance(chat.book.standing, Ill)
    return chat


@pytest.mark.parametrize(
    "line", ["fever is back", "voltou a febre", "me volvió la fiebre", "wieder Fieber", "la fièvre est revenue"]
)
def test_an_illness_soon_after_covid_is_covid_again(line: str) -> None:
    chat = after_covid()
    chat.waits(2)
    chat.says(line)
    assert isinstance(chat.book.standing, Ill)
    assert chat.book.standing.covid
    chat.waits(1)
    chat.says("better", "no")
    closed = {limit.day for limit in chat.book.limits if limit.reason is LimitReason.ILL}
    assert chat.book.today(chat.now) + timedelta(days=6) in closed


def test_an_illness_long_after_covid_is_one_of_its_own() -> None:
    with changed(ILLNESS_LINGERS, 1):
        chat = after_covid()
        chat.waits(2)
        chat.says("fever again")
        assert isinstance(chat.book.standing, Ill)
        assert not chat.book.standing.covid


@pytest.mark.parametrize(
    "line",
    ["ran 20 and felt worse than before afterwards", "corrí 20 y quedé peor que antes",
     "20 min gelaufen, schlechter danach", "couru 20 min, pire qu'avant", "corri 20 e fiquei pior depois"],
)  # fmt: skip
def test_worse_after_a_run_on_the_way_back_waits_for_a_clinician_and_counts_the_run(line: str) -> None:
    chat = after_covid()
    chat.waits(9)
    assert chat.says(line).startswith("Counted: 20 min run today.")
    assert isinstance(chat.book.standing, OnHold)


def test_worse_after_a_run_of_somebody_well_is_no_hold_of_an_illness() -> None:
    chat = marta()
    chat.says("ran 20 and felt worse than before afterwards")
    assert not isinstance(chat.book.standing, OnHold)


def test_who_runs_while_ill_is_asked_in_other_words_the_second_time_and_the_coach_sees_the_run() -> None:
    chat = marta()
    chat.says("fever")
    chat.waits(4)
    chat.says("20 min run")
    assert chat.book.asked is not None
    assert chat.book.asked.what is Ask.ILL_BACK
    first = chat.book.asked.token
    chat.waits(2)
    chat.says("25 min run")
    assert chat.book.asked is not None
    assert (chat.book.asked.what, chat.book.asked.token != first) == (Ask.ILL_BACK, True)
    seen = sight(Member(chat.book), chat.now)
    assert (seen.state, seen.why, seen.last) == (State.PAUSING, "", chat.book.today(chat.now))


@pytest.mark.parametrize("line", ["that was not about me", "not me, my brother", "era broma", "that was my neighbour"])
def test_somebody_elses_emergency_is_said_to_be_theirs_and_the_run_stays(line: str) -> None:
    chat = marta()
    chat.says("ran 25 min, my brother collapsed next to me with chest pain")
    assert chat.says(line).startswith("So I took it")
    assert [entry.minutes for entry in chat.book.log] == [25]


def test_a_joke_about_the_last_run_still_takes_it_back() -> None:
    chat = marta()
    chat.says("ran 25 min")
    chat.says("that was not me")
    assert not chat.book.log or chat.book.asked is not None


@pytest.mark.parametrize("answer", ["don't know yet", "weiß noch nicht", "aún no sé", "aucune idée", "não sei ainda"])
def test_an_end_that_is_not_known_yet_is_said_to_be_open(answer: str) -> None:
    chat = marta()
    chat.says("I'm going away")
    assert "if it takes longer" in chat.says(answer)


@pytest.mark.parametrize("line", ["away until the 22nd", "oh til the 22nd", "weg bis zum 22.", "fora até dia 22"])
def test_until_a_day_of_the_month_is_every_day_up_to_it(line: str) -> None:
    chat = marta()
    chat.says(line)
    away = [limit.day.day for limit in chat.book.limits if limit.reason is LimitReason.AWAY]
    assert away == list(range(5, 23))


@pytest.mark.parametrize(
    "line", ["ya ando al cien", "zerado de novo", "alles bestens", "tout va bien", "je suis nickel"]
)
def test_better_is_heard_in_sayings(line: str) -> None:
    assert says_well(line)


@pytest.mark.parametrize(
    "line", ["a bit better but still coughing", "mejor, pero aún con tos", "besser, aber noch Husten"]
)
def test_better_and_still_coughing_goes_on(line: str) -> None:
    chat = marta()
    assert "any chest pain" not in chat.says("flu, in bed", line)


@pytest.mark.parametrize(
    "line", ["me agripé", "gripei ontem e estou de cama", "bin total vergrippt", "je suis grippée"]
)
def test_flu_told_by_its_verb_is_an_illness(line: str) -> None:
    chat = marta()
    chat.says(line)
    assert isinstance(chat.book.standing, Ill)


@pytest.mark.parametrize(
    "line",
    ["ya me siento mejor", "wieder gut", "all better now", "je me sens mieux", "much better, would love to run"],
)
def test_better_is_heard_unasked_after_a_complaint(line: str) -> None:
    chat = marta()
    chat.says("my left calf is a bit sore")
    chat.waits(3)
    assert chat.says(line).startswith("Good to hear.")


@pytest.mark.parametrize("line", ["tomorrow would be better", "Thursday is better for me"])
def test_a_better_day_is_no_feeling(line: str) -> None:
    chat = marta()
    chat.says("my left calf is a bit sore")
    chat.waits(1)
    assert not chat.says(line).startswith("Good to hear.")


def on_hold() -> Chat:
    chat = marta()
    chat.says("my chest feels tight")
    chat.waits(2)
    return chat


@pytest.mark.parametrize(
    "again", ["yes", "Dr Ortiz at the clinic, this morning", "le médecin, ce matin", "mein Arzt, heute"]
)
def test_who_cleared_it_said_once_more_asks_for_the_word_again(again: str) -> None:
    chat = on_hold()
    chat.says("the doctor saw me this morning and cleared me to run", "yes")
    assert "write the one word" in chat.says(again)
    chat.says("cleared")
    assert not isinstance(chat.book.standing, OnHold)


def test_a_no_to_the_word_keeps_the_hold() -> None:
    chat = on_hold()
    chat.says("the doctor saw me this morning and cleared me to run", "yes", "no", "cleared")
    assert isinstance(chat.book.standing, OnHold)


@pytest.mark.parametrize(
    "line", ["le cardio m'a dit de galoper", "mi cardio dice que todo limpio", "vi al traumatólogo ayer"]
)
def test_a_clinician_by_a_short_name_is_asked_about(line: str) -> None:
    assert on_hold().says(line) == "Has a clinician cleared you to run?"


@pytest.mark.parametrize(
    "line", ["no soy yo, es mi hermano", "das bin nicht ich", "c'est pas moi, c'est mon frère", "it's not me"]
)
def test_that_it_is_somebody_else_begins_the_two_steps(line: str) -> None:
    assert "Was that about something or somebody else" in on_hold().says(line)


def test_back_with_a_complaint_ends_the_absence_and_asks() -> None:
    chat = marta()
    chat.says("away until the 22nd")
    chat.waits(3)
    assert chat.says("back. knee's a bit grumpy").startswith("Is that something you feel?")
    assert not [each for each in chat.book.limits if each.reason is LimitReason.AWAY and each.day >= chat.now.date()]


def test_a_run_in_the_days_that_an_illness_keeps_free_is_counted_with_a_word() -> None:
    chat = after_covid()
    chat.waits(2)
    assert "sooner than the illness allows" in chat.says("20 min run")
    assert [entry.minutes for entry in chat.book.log] == [20]


def test_a_run_while_walking_comes_first_gets_the_rule_each_time() -> None:
    chat = marta()
    chat.says("covid with a fever and a chesty cough, 38.5")
    chat.book = replace(chat.book, walk_run=WalkRun(0, 0, chat.now.date(), chat.now.date() + timedelta(days=9)))
    chat.book = replace(chat.book, standing=Training())
    for minutes in (20, 25):
        chat.waits(2)
        assert "easy walking comes first" in chat.says(f"{minutes} min run")


def test_a_run_of_somebody_well_gets_no_such_word() -> None:
    assert "sooner" not in marta().says("20 min run")
