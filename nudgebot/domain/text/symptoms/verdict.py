"""What a search for warning signs comes to: the level, the signs, and what else of health a message tells."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Level(StrEnum):
    """How grave a complaint is, mildest first."""

    NONE = "none"
    REST = "rest"  # ordinary: rest or easy walking, the pain rule
    CLINICIAN = "clinician"  # a clinician before the next run
    URGENT = "urgent"  # medical advice today
    EMERGENCY = "emergency"  # could be life-threatening now

    @property
    def rank(self) -> int:
        """0 for none to 4 for an emergency."""
        return BY_RANK.index(self)


BY_RANK = tuple(Level)


@dataclass(frozen=True, slots=True)
class Sign:
    """A sign that was found: the row of the table, its level as things stand, where in the text it was named."""

    id: str
    level: Level
    start: int
    end: int


class Illness(StrEnum):
    """What an illness is told by; each has a wait of its own."""

    FEVER = "fever"  # the word, or a body temperature from 37.8 °C or 100 °F on
    UPSET = "upset"  # vomiting or diarrhoea
    COVID = "covid"
    ILL = "ill"  # flu, a chest infection, ill in bed


@dataclass(frozen=True, slots=True)
class ToldIllness:
    """An illness of the writer's own as it was told: `past` where it is over, or is said to have been before today."""

    illness: Illness
    past: bool


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a message says about the runner's health.

    `sign` is the gravest sign's row; `question` the one plain question to ask, "" where none is; `about_other` that
    somebody beside the writer is meant; `first_aid` the one extra line; `spot` the body part named; `msk` that it
    is muscle, bone or joint, where "clinician" includes a physiotherapist; `pain_score` 0-10 as stated. `told` are
    the illnesses told, whatever the level; `deep` that signs below the neck were among them; `kept_from_running` that
    a sign was named with which no run is ever offered; `number` the number where nothing but it carried the level;
    `words` are the runner's own that named the sign.
    """

    level: Level = Level.NONE
    sign: str = ""
    signs: tuple[Sign, ...] = ()
    language: str = "en"
    question: str = ""
    about_other: bool = False
    first_aid: str = ""
    spot: str = ""
    msk: bool = False
    fever: bool = False
    illness: bool = False
    pain_score: int | None = None
    told: tuple[ToldIllness, ...] = ()
    deep: bool = False
    kept_from_running: bool = False
    number: str = ""
    words: str = ""

    @property
    def is_silent(self) -> bool:
        """Whether nothing of health was found in the line, in whatever language."""
        return self == Verdict(language=self.language)

    @property
    def ill_now(self) -> bool:
        """Whether an illness was told that is still there."""
        return any(not each.past for each in self.told)
