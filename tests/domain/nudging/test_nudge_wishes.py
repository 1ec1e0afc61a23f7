"""How much a runner wants to hear: read in plain words, shown in the settings, honoured by every kind of nudge."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nudgebot.domain.messages import settings as setting_words
from nudgebot.domain.model.intake import Intake, Quiet
from nudgebot.domain.model.nudged import AS_USUAL, DayPart, NudgeAmount, NudgeKind, NudgeWish, wish_of
from nudgebot.domain.model.runner import Book, OnHold, Profile
from nudgebot.domain.nudging.throttle import Reason
from nudgebot.domain.profile.intake_codec import as_rows, from_rows
from nudgebot.domain.profile.sentences.nudge_words import quiet_in, reminder_in, wish_in
from tests.domain.drawn_weeks import BERLIN, drawn, play, sent, unsent
from tests.talking import joined

TODAY = date(2027, 3, 10)  # a Wednesday
wishes = st.builds(
    NudgeWish,
    amount=st.sampled_from(NudgeAmount),
    part=st.sampled_from(DayPart),
    eve=st.booleans(),
    without=st.sets(st.integers(0, 6)).map(lambda days: tuple(sorted(days))),
    silent_to=st.none() | st.dates(date(2026, 1, 1), date(2030, 1, 1)),
)


@pytest.mark.parametrize(
    ("said", "wish"),
    [
        ("no more reminders before noon, thanks", NudgeWish(part=DayPart.EVENINGS)),
        ("evenings only please", NudgeWish(part=DayPart.EVENINGS)),
        ("can you switch off the morning ones", NudgeWish(part=DayPart.EVENINGS)),
        ("only write to me in the morning", NudgeWish(part=DayPart.MORNINGS)),
        ("no nights", NudgeWish(part=DayPart.MORNINGS)),
        ("keine Erinnerungen am Abend", NudgeWish(part=DayPart.MORNINGS)),
        ("sem mensagens de manhã por favor", NudgeWish(part=DayPart.EVENINGS)),
        ("ping me the night before, not in the morning", NudgeWish(eve=True)),
        ("rappelle-moi la veille", NudgeWish(eve=True)),
        ("that's too many notifications", NudgeWish(NudgeAmount.FEWER)),
        ("quit pestering me", NudgeWish(NudgeAmount.FEWER)),
        ("menos recordatorios", NudgeWish(NudgeAmount.FEWER)),
        ("one message a week is plenty", NudgeWish(NudgeAmount.WEEKLY)),
        ("nothing but the review... just the review once a week", NudgeWish(NudgeAmount.WEEKLY)),
        ("no reminders on Saturdays or Sundays", NudgeWish(without=(5, 6))),
        ("pas de messages le dimanche", NudgeWish(without=(6,))),
        ("be quiet until Saturday", NudgeWish(silent_to=date(2027, 3, 13))),
        ("no messages for 5 days", NudgeWish(silent_to=date(2027, 3, 14))),
    ],
)
def test_a_wish_is_read_in_plain_words(said: str, wish: NudgeWish) -> None:
    assert wish_in(said, TODAY, None) == wish


@pytest.mark.parametrize(
    "said",
    [
        "no run this evening",
        "not this morning, too tired",
        "ran in the morning instead",
        "can't do evenings this week, late shift",
        "remind me tomorrow",
        "got your message, will run later",
        "too much work, skipping tonight",
        "should I run in the morning or the evening?",
        "no",
        "leave me a long run on Sunday",
    ],
)
def test_what_is_about_runs_is_no_wish_about_messages(said: str) -> None:
    assert wish_in(said, TODAY, None) is None


@pytest.mark.parametrize(
    ("said", "quiet"),
    [
        ("please no reminders before 8:15", "21:30-08:15"),
        ("don't text me after 9", "21:00-06:30"),
        ("vor 10 Uhr keine Nachrichten", "21:30-10:00"),
        ("nach 19:30 bitte keine Erinnerungen mehr", "19:30-06:30"),
        ("no me mandes mensajes antes de las 8", "21:30-08:00"),
        ("pas de rappels après 20h30", "20:30-06:30"),
        ("não quero lembretes antes das 9h", "21:30-09:00"),
        ("please don't write that early, try at 8:45", "21:30-08:45"),
        ("schreib nicht so früh, lieber um 10", "21:30-10:00"),
        ("n'écris pas si tôt, vers 8h30", "21:30-08:30"),
        ("no messages before the race", ""),
        ("no messages after noon", ""),
        ("no run before 9", ""),
        ("remind me before 9", ""),
    ],
)
def test_a_bound_of_messages_is_an_end_of_the_quiet_hours(said: str, quiet: str) -> None:
    told = quiet_in(said, Quiet(time(21, 30), time(6, 30)))
    assert ("" if told is None else f"{told.first:%H:%M}-{told.last:%H:%M}") == quiet


@pytest.mark.parametrize(
    ("said", "hour"),
    [
        ("text me at half day, say 12:15", "12:15"), ("reminders around 8pm please", "20:00"),
        ("6:45 is far too early for a message, 7:30 will do", "07:30"),
        ("could you ping me in the evening, at nine", "21:00"), ("erinnere mich lieber erst um neun", "09:00"),
        ("Nachrichten abends gegen 8 bitte", "20:00"), ("escríbeme a las ocho de la tarde", "20:00"),
        ("rappelle-moi vers 18h", "18:00"), ("lembra-me às nove", "09:00"),
        ("message me at 7 or at 8", ""), ("remind me to buy shoes", ""), ("I run at 7", ""), ("write 25:99 down", ""),
        ("remind me at 6:45", ""), ("no messages about 30 min runs", ""),
    ],
)  # fmt: skip
def test_an_hour_for_messages_is_heard_where_one_is_named(said: str, hour: str) -> None:
    told = reminder_in(said, time(6, 45))
    assert ("" if told is None else f"{told:%H:%M}") == hour


def test_an_hour_for_messages_is_asked_about_and_then_holds() -> None:
    played = joined("pls text me in the evening, 7pm, I am on early shift\nyes\n/settings")
    assert any("morning reminder to 19:00" in text for text in played.texts)
    assert "morning reminder: 19:00" in played.texts[-1]


def test_a_reminder_that_was_chosen_in_the_new_quiet_hours_comes_at_their_end() -> None:
    played = joined("keine Nachrichten vor 8\n/settings\nundo\n/settings")
    before, after = (text for text in played.texts if text.startswith("What I know"))
    assert "morning reminder: 08:00" in before and "quiet: 21:30-08:00" in before
    assert "morning reminder: 06:45" in after and "quiet: 21:30-06:30" in after


def test_a_new_wish_leaves_what_it_does_not_speak_of() -> None:
    fewer = wish_in("fewer messages", TODAY, NudgeWish(without=(6,)))
    assert fewer == NudgeWish(NudgeAmount.FEWER, without=(6,))
    assert wish_in("all messages again please", TODAY, fewer) == AS_USUAL


@given(wishes)
def test_a_wish_is_stored_as_it_is_told(wish: NudgeWish) -> None:
    assert wish_of(wish.text) == wish
    assert from_rows(as_rows(Intake(nudges=wish))).nudges == wish


@given(st.text(max_size=40))
def test_any_other_text_is_no_wish_or_its_own_canonical_form(text: str) -> None:
    wish = wish_of(text)
    assert wish is None or wish.text == text


@pytest.mark.parametrize(
    ("wish", "line"), [(AS_USUAL, "messages: as usual"), (NudgeWish(eve=True), "messages: reminders come the evening")]
)
def test_the_settings_show_the_wish(wish: NudgeWish, line: str) -> None:
    assert line in setting_words.settings_page(Intake(nudges=wish)).text


def wishing(wish: NudgeWish, plan: str = "Mon 30, Wed 30, Sat 60, 2Mon 30", profile: Profile = BERLIN) -> Book:
    """Somebody who was heard on every evening, so that nothing fades, and wants this much."""
    return replace(drawn(plan, profile=profile, past="Sat"), intake=Intake(nudges=wish))


HEARD = ", ".join(f"{day} 21:00 hello" for day in ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"))


def test_the_evening_before_takes_the_place_of_the_morning() -> None:
    lines = sent(play(wishing(NudgeWish(eve=True)), HEARD))
    assert "Tue 19:00 morning" in lines
    assert not any("07:00 morning" in line for line in lines)


def test_the_week_review_is_not_lost_to_the_reminder_of_the_evening_before() -> None:
    lines = sent(play(wishing(NudgeWish(part=DayPart.EVENINGS)), f"{HEARD}, Sat 19:00 ran 60", days=8))
    assert "Sun 19:30 week_review" in lines


@pytest.mark.parametrize(
    ("wish", "kinds"),
    [
        (NudgeWish(NudgeAmount.FEWER), {NudgeKind.GAP_WARNING, NudgeKind.WEEK_REVIEW}),
        (NudgeWish(NudgeAmount.WEEKLY), {NudgeKind.WEEK_REVIEW}),
    ],
)
def test_fewer_is_the_gap_warning_and_the_review_and_once_a_week_the_review_alone(
    wish: NudgeWish, kinds: set[NudgeKind]
) -> None:
    book = play(wishing(wish, "Mon 30, Sat 60"), "Mon 21:00 ran 30, Sat 17:00 ran 60", days=21)
    got = {n.kind for n in book.nudges if n.outcome == "sent"}
    assert got == kinds
    assert any(line.endswith(Reason.UNWANTED) for line in unsent(book))


@settings(max_examples=25)
@given(wishes, st.sampled_from(["", HEARD, "Mon 20:00 ran 30, Tue 09:00 sore, Wed 20:00 ran 30"]))
def test_no_nudge_of_any_kind_goes_against_the_wish(wish: NudgeWish, said: str) -> None:
    book = play(wishing(wish), said, days=10)
    for nudged in book.nudges:
        if nudged.outcome != "sent":
            continue
        wall = book.local(nudged.at)
        assert wall.weekday() not in wish.without
        assert wish.silent_to is None or wall.date() > wish.silent_to
        assert wish.part is not DayPart.MORNINGS or wall.hour < 12
        assert wish.part is not DayPart.EVENINGS or wall.hour >= 12


@settings(max_examples=15)
@given(wishes)
def test_safety_follow_ups_go_on_whatever_was_wished(wish: NudgeWish) -> None:
    book = wishing(wish)
    plain = replace(book, intake=Intake())
    hold = OnHold(book.runner.last_heard, "urgent", "calf", "my calf is hot")
    assert sent(play(replace(book, standing=hold))) == sent(play(replace(plain, standing=hold)))
