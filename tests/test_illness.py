"""An illness as a standing: every way in has a way out, and nothing is planned or asked in between."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.talking import joined

ILL = (
    "got the flu, everything aches",
    "temperature of 38.4",
    "it's covid, tested positive last night",
    "norovirus, threw up all night",
    "lying ill in bed",
    "ran 30 this morning, fever of 38.9 now",
    "Grippe, liege flach",
    "38,9 Fieber seit heute Nacht",
    "Magen-Darm-Infekt",
    "tengo gripe",
    "con fiebre de 39 en la cama",
    "he dado positivo en covid",
    "j'ai la grippe et 39 de fièvre",
    "malade au lit",
    "testée positive au covid",
    "estou com gripe",
    "febre de 38,5 desde ontem",
    "estou de cama, doente",
)
BACK = (
    "nope, none of that",
    "no",
    "nothing like that, just tired",
    "nein, nichts davon",
    "no, nada",
    "non, rien",
    "não",
)
AT = "@ 2027-01-06 08:00\n"


def standing(played: Any) -> str:
    return str(played.dump["standing"])


@pytest.mark.parametrize("line", ILL)
def test_who_tells_of_an_illness_is_ill_and_nothing_is_planned(line: str) -> None:
    played = joined(f"{AT}{line}\n@ dump")
    assert standing(played) == "ill"
    assert played.dump["plan"] == []
    assert "Each of them is fine" not in played.texts[-1]


@pytest.mark.parametrize("line", ["ran 25 this morning, fever of 38.9 now", "25 min locker, jetzt 38,6 Fieber"])
def test_the_run_of_the_same_line_is_counted(line: str) -> None:
    assert joined(f"{AT}{line}\n@ dump").dump["done"] == 25


@pytest.mark.parametrize(
    "line",
    [
        "my son has the flu, ran 30", "30 min in the flu jab queue and then home", "no fever", "a bit of a cold",
        "had covid in january last year", "can I run with a fever?", "hay fever, 30 min", "sick of this rain",
        "temperature 36.6",
    ],
)  # fmt: skip
def test_who_is_well_is_not_ill(line: str) -> None:
    assert standing(joined(f"{AT}{line}\n@ dump")) != "ill"


@settings(max_examples=6, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    way_in=st.sampled_from(ILL),
    meanwhile=st.lists(
        st.sampled_from(["same", "worse", "20 min", "/week", "tomorrow", "skip", "38.4", "still a fever", "no", "lol"]),
        max_size=3,
    ),
    way_out=st.sampled_from(BACK),
    days=st.integers(1, 16),
)
def test_from_every_way_in_there_is_a_way_out_and_silence_asks_for_nothing(
    way_in: str, meanwhile: list[str], way_out: str, days: int
) -> None:
    talk = "\n".join(meanwhile)
    end = date(2027, 1, 7).toordinal() + days
    later = date.fromordinal(end).isoformat()
    before = f"{AT}{way_in}\n@ 2027-01-07 08:00\n{talk}\n@ {later} 12:00\n@ dump\n"
    played = joined(f"{before}better\n{way_out}\n@ dump")
    ill_for = next(n for n, each in enumerate(played.texts) if "One question first" in each)
    dumps = [each for each in played.objects if "runner" in each]
    assert dumps[0]["standing"] == "ill"
    assert dumps[0]["plan"] == []
    kinds = {str(each["kind"]) for each in played.messages[:ill_for] if each["at"] >= "2027-01-06T08"}
    assert {kind for kind in kinds if kind.startswith("nudge:")} <= {"nudge:how_are_you"}
    assert dumps[1]["standing"] != "ill"
    first = dumps[1]["plan"][0]["date"] if dumps[1]["plan"] else "9999"
    assert first >= later
    assert all(session["minutes"] <= 30 for session in dumps[1]["plan"])


def test_how_are_you_is_asked_on_three_mornings_and_on_the_seventh_and_fourteenth_day() -> None:
    played = joined(f"{AT}in bed with influenza\n@ 2027-02-20 12:00")
    asked = [each["at"][:10] for each in played.messages if each["kind"] == "nudge:how_are_you"]
    assert asked == ["2027-01-07", "2027-01-08", "2027-01-09", "2027-01-13", "2027-01-20"]


def test_a_chest_infection_with_a_fever_is_a_hold_and_an_illness_beneath_it() -> None:
    clear = "@ 2027-01-12 08:00\n/back\nyes\nDr Sousa, today\ncleared\n@ dump"
    played = joined(f"{AT}in bed with bronchitis and fever\n@ dump\n{clear}")
    assert [each["standing"] for each in played.objects if "runner" in each] == ["hold", "ill"]


@pytest.mark.parametrize("line", ["no fever with ibuprofen", "fever gone, on paracetamol", "fieberfrei mit Tabletten"])
def test_fever_medicine_is_no_end_of_a_fever(line: str) -> None:
    assert "Fever medicine hides a fever" in joined(f"{AT}38.8 fever\n@ 2027-01-09 08:00\n{line}").texts[-1]


@pytest.mark.parametrize("answer", ["sunday 3", "the 3rd", "3 jan"])
def test_a_date_that_answers_which_day_is_no_run(answer: str) -> None:
    told = f"{AT}fever 38.4\n@ 2027-01-09 08:00\nbetter\nno\n{answer}\n@ dump"
    assert joined(told).dump["done"] == 0


def test_silence_shortens_no_wait_after_covid() -> None:
    played = joined(f"{AT}covid, with a cough\n@ 2027-01-20 08:00\nbetter\nno\n@ dump")
    assert not [session for session in played.dump["plan"] if session["date"] < "2027-01-28"]


def test_a_hold_wins_and_the_illness_waits_beneath_it() -> None:
    hold = f"{AT}fever 39\n@ 2027-01-07 08:00\nmy calf is swollen, hot and red\nbetter\n"
    clear = "@ 2027-01-09 08:00\n/back\nyes\nDr Sousa, today\ncleared\n@ dump\n"
    played = joined(f"{hold}@ dump\n{clear}no\n@ dump")
    assert [each["standing"] for each in played.objects if "runner" in each][:2] == ["hold", "ill"]


@pytest.mark.parametrize(("line", "button"), [("resting pulse 34", "Those were minutes"), ("bp 190/112", "slip")])
def test_a_hold_of_a_number_alone_is_lifted_by_its_button_at_once(line: str, button: str) -> None:
    played = joined(f"{AT}{line}\n#1\n@ dump")
    assert button in played.messages[-2]["buttons"][0]
    assert standing(played) != "hold"
    assert played.dump["done"] == (34 if "34" in line else 0)
    assert played.dump["plan"]


def test_where_words_carried_the_level_no_number_lifts_it() -> None:
    played = joined(f"{AT}resting pulse 34 and I nearly fainted\nthose were minutes\n@ dump")
    assert standing(played) == "hold"


def test_an_average_no_heart_of_that_age_reaches_is_asked_about() -> None:
    played = joined(f"{AT}30 min easy hr 212\nyes\n@ dump")
    assert "did your heart race" in played.texts[-2]
    assert standing(played) == "hold"
    assert played.dump["done"] == 30


@pytest.mark.parametrize("line", ["flu, and it is worse after every walk", "covid crash after walking to the shop"])
def test_worse_after_effort_asks_for_a_clinician(line: str) -> None:
    assert standing(joined(f"{AT}got covid\n@ 2027-01-12 08:00\n{line}\n@ dump")) == "hold"
