"""The intake's questions, said."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from nudgebot.domain.messages.common import DAY_NAMES
from nudgebot.domain.messages.settings.wishes import HOW_MUCH, OPTIONS
from nudgebot.domain.model.actions import ChosenValue, Reply
from nudgebot.domain.model.intake import Intake
from nudgebot.domain.model.speech import QUESTION, Button, Say
from nudgebot.domain.profile import places
from nudgebot.domain.profile.answer_readers import SKIP

YES_NO = (("Yes", "yes"), ("No", "no"))
YES_NO_SKIP = (*YES_NO, ("Skip", "skip"))


@dataclass(frozen=True, slots=True)
class Prompt:
    """A question: its text, its buttons as (label, canonical answer), and an example of an answer that can be read."""

    text: str
    buttons: tuple[tuple[str, str], ...]
    example: str


PROMPTS: Mapping[str, Prompt] = {
    "adult": Prompt(
        "I keep a small week of easy running for you: I remind you, read your one-line replies, and rearrange the week "
        "when life gets in the way. A few short questions first, under two minutes.\n"
        "I store your minutes and what you tell me here; /privacy says who sees it, /erase deletes all of it. "
        "This is not medical advice.\n"
        "Are you 18 or over, and is that all right with you?",
        (("Yes, go ahead", "yes"), ("No", "no")),
        "yes",
    ),
    "active": Prompt(
        "In the last three months, were you active for 30 minutes or more on at least three days a week? "
        "Brisk walking counts.",
        YES_NO,
        "yes, or no",
    ),
    "disease": Prompt(
        "Do you have a known disease of the heart or circulation, of the metabolism (diabetes, for one) or of the "
        "kidneys?",
        YES_NO,
        "no",
    ),
    "doctor_knows": Prompt(
        "High blood pressure that is treated and known is no bar. Does your doctor know that you start running?",
        YES_NO_SKIP,
        "yes, no or skip",
    ),
    "signs": Prompt(
        "Any of these, now or lately?\n"
        "- pain or pressure in the chest, neck, jaw or arms\n"
        "- breathless at rest, with little effort, lying flat or at night\n"
        "- dizziness or fainting\n"
        "- swollen ankles\n"
        "- palpitations or a racing heart\n"
        "- leg pain on walking that eases with rest\n"
        "- a known heart murmur\n"
        "- unusual tiredness with everyday things",
        (("None of these", "no"), ("Yes", "yes")),
        "no",
    ),
    "pregnancy": Prompt("Are you pregnant, or did you give birth in the last 12 weeks?", YES_NO_SKIP, "no, or skip"),
    "medicine": Prompt(
        "Do you take a beta blocker or another medicine that slows the heart?", YES_NO_SKIP, "no, or skip"
    ),
    "goal": Prompt(
        "What should the running do for you? Each goal comes with a weekly dose of easy minutes:\n"
        "- health: 90 to 120\n"
        "- longer easy runs: 120 to 150, the choice for fat loss\n"
        "- endurance: 150 to 180\n"
        "- maintain: 60 to 90, for when life is full\n"
        "- custom: your own number from 60 to 300, such as custom 120",
        (
            ("Health", "health"),
            ("Longer easy runs", "fat_loss"),
            ("Endurance", "endurance"),
            ("Maintain", "maintain"),
        ),
        "health, or custom 120",
    ),
    "weekly": Prompt(
        "How many minutes a week have you been running lately? 0 is a fine answer.",
        (("0", "0"), ("30", "30"), ("60", "60"), ("90", "90")),
        "60",
    ),
    "longest": Prompt(
        "And your longest run of the last month, in minutes?",
        (("0", "0"), ("20", "20"), ("30", "30"), ("45", "45")),
        "30",
    ),
    "commute": Prompt(
        "Do you commute by bike or on foot? If so, about how many minutes a week: bike 200, say.",
        (("No", "no"),),
        "no, or bike 200",
    ),
    "days": Prompt(
        "On which days could you run, and for how many minutes at most? Like this: tue 45, thu 45, sun 90. "
        "The more days are open, the more room there is when a day goes wrong.",
        (
            ("Any day, 60 min", "mon 60, tue 60, wed 60, thu 60, fri 60, sat 60, sun 60"),
            ("Tue 45, Thu 45, Sun 90", "tue 45, thu 45, sun 90"),
            ("Mon 45, Wed 45, Sat 90", "mon 45, wed 45, sat 90"),
        ),
        "tue 45, thu 45, sun 90",
    ),
    "long_day": Prompt("Which of these days suits the longest run?", (), "sun"),
    "zone": Prompt(
        "Which city are you in? It sets your clock. Sharing your location works too.",
        (),
        "Lisbon, or Europe/Lisbon",
    ),
    "run_time": Prompt(
        "When do you usually run?", (("06:30", "06:30"), ("12:30", "12:30"), ("18:00", "18:00")), "18:00"
    ),
    "remind_at": Prompt(
        "When should the morning reminder come?",
        (("07:00", "07:00"), ("06:45", "06:45"), ("08:00", "08:00"), ("You choose", SKIP)),
        "07:00, or you choose",
    ),
    "quiet": Prompt("Between which times should I stay silent?", (("21:30 to 06:30", "21:30-06:30"),), "21:30-06:30"),
    "country": Prompt(
        "Which country are you in? I would show its emergency number if one of your lines worried me.",
        (),
        "PT, or Portugal",
    ),
    "resting_hr": Prompt("Your resting heart rate, in beats a minute on waking?", (), "52"),
    "max_hr": Prompt("Your highest heart rate, measured and not from a formula?", (), "178"),
    "event": Prompt("Which day, and what? The date first: 2027-05-30 half marathon.", (), "2027-05-30 half marathon"),
    "nudges": Prompt(
        HOW_MUCH, tuple((label, wish.text) for label, wish in OPTIONS), "fewer, once a week, mornings, evenings"
    ),
    "birth_year": Prompt(
        "Your year of birth? It helps with a rough heart-rate range; skip is fine.",
        (("Skip", "skip"),),
        "1975, or skip",
    ),
}


def value_of(asks: str, line: str) -> str:
    """The canonical answer of the button that says `line`, else `line` itself."""
    said = line.strip(" .!").casefold()
    return next((value for label, value in PROMPTS[asks].buttons if label.casefold() == said), line)


def question(asks: str, told: Intake, *, name: str = "", wrong: bool = False, guess: str = "") -> Say:
    """The question `asks`; `wrong` where the last line was no answer to it, `guess` a likely country's code."""
    prompt = PROMPTS[asks]
    buttons = prompt.buttons
    if asks == "long_day":
        opened = [day for day, minutes in zip(DAY_NAMES, told.days or (), strict=False) if minutes]
        buttons = tuple((day, day[:3].lower()) for day in reversed(opened))
    if asks == "country" and guess:
        buttons = ((places.country_name(guess), guess),)
    text = prompt.text
    if asks == "adult" and name and not wrong:
        text = f"Hello {name}. {text}"
    if wrong:
        # The list above stays where it is: asked again is the question alone.
        brief = next(line for line in text.splitlines() if "?" in line)
        text = f"I could not read that as an answer. For example: {prompt.example}.\n{brief}"
    return Say(text, QUESTION, tuple(Button(label, Reply(asks, ChosenValue(value))) for label, value in buttons), asks)


NOT_ADULT = "Then I leave it there, and nothing is kept. I am for adults who agree to it; /start begins again."
