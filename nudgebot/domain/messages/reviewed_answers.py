"""Answers to ordinary questions: a reviewed page, each with the words that ask for it and its source.

A row answers a line that holds all of its ideas; the first such row is taken, the more special before the plainer.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

PRACTICE: Final = "common practice, no source"


@dataclass(frozen=True, slots=True)
class ReviewedAnswer:
    """One topic: the ideas that a line must all hold, as word stems, what is said, and where it comes from."""

    topic: str
    ideas: tuple[str, ...]
    text: str
    source: str = PRACTICE

    def fits(self, line: str) -> bool:
        """Whether the folded line holds every idea."""
        return all(re.search(rf"(?<![a-z])(?:{idea})", line) for idea in self.ideas)


RUN: Final = r"(?:run|jog|lauf|corr|cour)"
WALKING: Final = r"(?:darf|kann|puedo|puis-je|posso) .*\b(?:spazier|gehen|gehn|camin|andar|march)"
MESSAGE: Final = (
    r"(?:warn|remind|messag|nag|ping|notif|text(?:ing)? me|writ|bother|erinner|schreib|nachricht|avis|recuerd|escrib|"
    r"mensaje|rappel|ecri|envoi|lembr|escrev|mensag)"
)
ANSWERS: Final = (
    ReviewedAnswer(
        "laughed at", (r"laugh|stare|stares|judge|embarrass|ashamed|self-conscious|looked at|look silly|look stupid",),
        "Most people who pass by think of their own day, and some of them that they would like to start. Begin where "
        "and when it feels private, such as a quiet path early in the day. It is meant to be slow.",
    ),
    ReviewedAnswer(
        "worth it", (r"worth it|any point|what'?s the point|does (?:it|this) (?:even )?(?:help|do anything)|any use",),
        "Yes: some is better than none, and the first regular minutes bring the most. It does not have to be fast or "
        "long to count.",
        "WHO guidelines on physical activity 2020",
    ),
    ReviewedAnswer(
        "boring", (r"bor(?:ed|ing)|dull|tedious|monoton",),
        "Then change one thing: another way round, a friend, a podcast in one ear, or the same minutes on grass. Easy "
        "running leaves the head free; some come to like just that.",
    ),
    ReviewedAnswer(
        "guilt", (r"guilt|feel bad (?:about|for)|let (?:you|myself) down|ashamed of missing|lazy",),
        "Nothing to make good. One run more or less does not matter to the habit, and the plan takes it from where "
        "you are.",
        "Lally et al., Eur J Soc Psychol 2010;40:998-1009",
    ),
    ReviewedAnswer(
        "missed several", (
            rf"miss(?:ed|ing)? (?:two|three|four|five|\d|a few|several|all|(?:the|a) (?:whole )?week)|haven'?t {RUN}",
        ),
        "Nothing bad. Up to five days off the plan goes on; after six or more the first runs are shorter for a while, "
        "and it climbs back by itself. Minutes from before are never stacked on top.",
        "docs/season.md, Coming back",
    ),
    ReviewedAnswer(
        "too slow", (r"(?:so |too |this |very |really )?slow(?:er|ly)?|overtaken|overtakes?|walkers? pass",),
        "Slow is the point: an easy run is one on which full sentences come, effort 4 of 10 or less, and the heart "
        "and the legs learn from the minutes. Walking a while keeps it easy, and counts.",
        "talk test: Quinn & Coons, J Sports Sci 2011;29:1175-1182",
    ),
    ReviewedAnswer(
        "walk first", (r"why|warum|por que|pourquoi", r"walk|gehen|caminar|marche"),
        "Tendons and bones take longer to get used to running than the breath does. Walking and running in turn lets "
        "them keep up; the running part grows step by step.",
        "walk-run steps: Trials 2023, doi 10.1186/s13063-023-07502-x",
    ),
    ReviewedAnswer(
        "walk breaks",
        (r"walk(?:ing)? (?:break|a bit|bits|some|in between|up)|(?:can|may|ok|okay|allowed|fine) .*\bwalk|" + WALKING,),
        "Yes. Walk whenever full sentences no longer come, and up any hill. The minutes count whole.",
    ),
    ReviewedAnswer(
        "when running starts",
        (r"when (?:do|can|will|am) i",
         rf"(?:start|begin|allowed|get to)(?: \w+)* (?:{RUN})|(?:{RUN})\w* (?:start|begin)"),
        "If your sessions are walks, running comes in short turns after two weeks of walking, or once a clinician has "
        "cleared it where I asked for that. /week shows which it is, /why says why.",
        "docs/season.md, Walk-run",
    ),
    ReviewedAnswer(
        "swap days", (r"swap|switch|change|move|shift", r"days?|sessions?|runs?", r"can|may|could|how|ok|allowed"),
        "Yes: write which and where, such as move Thursday to Friday, or swap Sat and Sun. For good, write: Thursday "
        "instead of Wednesday from now on.",
        "docs/replies.md",
    ),
    ReviewedAnswer(
        "treadmill", (r"treadmill|laufband|cinta de correr|tapis (?:de course|roulant)|esteira|indoors?",),
        "A treadmill is fine and counts the same. Let full sentences set the speed, not the display.",
    ),
    ReviewedAnswer(
        "travel",
        (r"fly(?:ing)?\b|flight|travel|hotel|jet ?lag|time zones?|abroad|business trip|flug|vuelo|viaj|voyag|avion",),
        "Once you are there, write where you are, such as: I am in Oslo till Sunday. Across five time zones or more "
        "the day of arrival is free, and the first run is short. A treadmill or a park counts the same.",
        "docs/season.md",
    ),
    ReviewedAnswer(
        "shoes", (r"shoes?|trainers|sneakers|schuhe?|zapatillas|chaussures|tenis|sapatilhas",),
        "Any running shoes that feel comfortable from the first minute. Wear new ones for short runs first. Pain that "
        "comes with a pair and stays is for a clinician.",
    ),
    ReviewedAnswer(
        "clothes for cold",
        (r"wear|clothes|dress|layers|anziehen|ropa|habiller|vestir",
         r"cold|winter|frost|freez|snow|minus|kalt|frio|froid"),
        "Dress as if it were ten degrees warmer: thin layers, something against wind, gloves and a hat. A little cool "
        "for the first minutes is right. Tell me the degrees and I say when it is too cold.",
    ),
    ReviewedAnswer(
        "clothes", (r"(?:what|which|how).*(?:wear|clothes|dress|kit|gear)|was .*anziehen",),
        "Whatever is comfortable and dries quickly; a layer less than for a walk. In the dark something that shines.",
    ),
    ReviewedAnswer(
        "taper", (r"taper",),
        "Only before an event, and I do it for you: tell me the day and the distance, such as 10k on 2 May. The week "
        "before is light, the last run two days before, the day before is rest.",
        "docs/season.md, An event",
    ),
    ReviewedAnswer(
        "how many days", (r"how many (?:days|times|runs)|how often|days a week", rf"{RUN}|should|enough|week"),
        "Three a week, on days apart, is what keeps the rhythm with the least time. Two are still well worth it; a "
        "fourth is welcome where it fits. Never more than two days in a row.",
    ),
    ReviewedAnswer(
        "what a gap is", (r"what (?:is|are|does|do you mean)|what'?s", r"gaps?\b|rhythm"),
        "More than two days in a row without anything that moves you. Ten minutes of brisk walking or a bike ride end "
        "it. It is a rhythm that is easy to keep, nothing worse.",
        "American Diabetes Association, Diabetes Care 2016;39:2065-2079; for everyone else a rhythm",
    ),
    ReviewedAnswer(
        "why a message",
        (r"why|warum|wieso|por que|porque|pourquoi|how come",
         MESSAGE),
        "A reminder comes on the day of a session, one question where no word came, and a warning only before a third "
        "day without a run. Write fewer messages, no evenings, or once a week, and I write less; stop ends them all.",
        "docs/nudges.md",
    ),
    ReviewedAnswer(
        "food before", (r"eat|breakfast|food|empty stomach|fasted|snack", rf"before|{RUN}|empty"),
        "For an easy run under an hour nothing is needed. If you like, something small an hour or two before. With "
        "diabetes, or medicine for it, ask your clinician first.",
    ),
    ReviewedAnswer(
        "drink", (r"drink|water|hydrat", rf"how|before|during|should|need|{RUN}"),
        "Drink when you are thirsty, before and after. On an easy run under an hour, carry water only in heat.",
    ),
    ReviewedAnswer(
        "warm up", (r"warm[- ]?up|stretch|cool[- ]?down|aufwarm|calent|echauff",),
        "Begin with five minutes of walking or very slow running, and end the same way. Stretching is a matter of "
        "taste; it is fine after, and not needed before.",
    ),
    ReviewedAnswer(
        "time of day", (r"morning|evening|time of (?:the )?day|before work|after work", r"better|best|or|should"),
        "Whichever you can keep up: best is the hour that nobody else often needs from you.",
    ),
    ReviewedAnswer(
        "hills", (r"hills?\b|uphill|hilly|steep",),
        "Hills are fine if they stay easy: walk them as soon as full sentences stop.",
    ),
    ReviewedAnswer(
        "strength", (r"strength|weights|gym|core\b|squats|krafttraining",),
        "Two short strength sessions a week go well beside this; on a run day do them after the run, or on a day off.",
        "Physical Activity Guidelines for Americans, 2nd ed., 2018",
    ),
    ReviewedAnswer(
        "weight", (r"lose weight|weight loss|slim|abnehmen|adelgazar|maigrir|emagrecer|burn fat|fat burn",),
        "Running helps a little with weight and a lot with much else; I promise none. What and how much to eat is for "
        "a clinician or dietitian.",
        "American College of Sports Medicine, position stand 2009",
    ),
    ReviewedAnswer(
        "faster", (rf"(?:get|{RUN})\w* faster|interval|speed ?work|sprints?|pace up|how fast|tempo",),
        "Easy minutes do most of it. Training for speed is beyond this plan; once the easy week has held for some "
        "months, a club or a coach is the place for it.",
    ),
    ReviewedAnswer(
        "age", (r"too old|at my age|over (?:40|50|60|70)|fur das alter|demasiado viej|trop vieux|velh[oa] demais",),
        "No. Beginning late works, with smaller steps and more rest between them; the plan is made for that.",
    ),
    ReviewedAnswer(
        "music", (r"music|podcast|headphones|earphones|earbuds",),
        "Fine, if one ear stays free where there is traffic.",
    ),
    ReviewedAnswer(
        "dark", (r"\bdark\b|at night|headlamp|head torch|safe alone|alone",),
        "Be seen: something that shines, a lamp, a way you know. Tell somebody which way and when you are back. If it "
        "does not feel safe, indoors or another hour counts the same.",
    ),
)  # fmt: skip
# What makes a line a question or a worry, and no report.
ASKS: Final = re.compile(
    r"\?|^(?:what|why|when|how|which|can|may|should|is|are|do|does|am|could|would|will|was|wie|warum|wann|kann|soll|que|"
    r"por que|cuando|como|puedo|pourquoi|quand|comment|puis-je|posso|quando|devo|any)\b|"
    r"\b(?:scared|afraid|worried|nervous|ashamed|embarrass\w*|feel (?:bad|lazy|stupid|silly)|guilty|bor(?:ed|ing)|"
    r"laugh|judge|ok\s*$|okay\s*$|allowed|wonder\w*|too (?:old|slow))\b|\b(?:so|too) slow\b"
)
FEELINGS: Final = frozenset({"laughed at", "worth it", "guilt"})  # said of a run called off, too
LONGEST: Final = 24  # words; a longer line tells a story


def answer_to(line: str) -> ReviewedAnswer | None:
    """The reviewed answer to a folded line; None if it asks nothing that the page holds."""
    if len(line.split()) > LONGEST or ASKS.search(line) is None:
        return None
    return next((row for row in ANSWERS if row.fits(line)), None)
