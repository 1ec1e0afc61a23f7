"""What a runner says about the messages they get, read: "no mornings", "fewer messages", "quiet until Friday".

A line is about messages where it names them, or is nothing but a part of the day that is wanted or not. Each idea is a
row of word stems in the five languages of the project; a line is read by the ideas it holds, in whatever order.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta
from typing import Final

from nudgebot.domain.model.nudge_wish import AS_USUAL, DayPart, NudgeAmount, NudgeWish, wish_of
from nudgebot.domain.profile.sentences.weekday_words import any_of, weekdays_in
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.reply import read_pause

MESSAGES: Final = any_of(
    r"messag(?:es?|ing)", r"msgs?", r"reminders?", r"remind(?:ing)?", r"nudges?", r"nudging", r"pings?", r"pinging",
    r"notif\w*", r"alerts?", r"texts?", r"texting", r"prompts?", r"check-?ins?", r"nag(?:s|ging)?", r"bother(?:ing)?",
    r"pester(?:ing)?", r"spam(?:ming)?", r"buzz(?:ing)?", r"bug(?:ging)? me", r"writ(?:e|ing)", r"contact me",
    r"(?:morning|evening)s? ones", r"hear from you",
    r"nachricht\w*", r"erinner\w*", r"meldungen", r"schreib\w*",
    r"mensajes?", r"recordatorios?", r"avisos?", r"recuerda\w*", r"avisa\w*", r"escrib\w*",
    r"messages", r"rappels?", r"rappelle\w*", r"ecri\w*",
    r"mensagens?", r"mensagem", r"lembretes?", r"lembr\w*", r"escrev\w*",
)  # fmt: skip
MORNING: Final = any_of(
    r"mornings?", r"a\.m\.", r"before (?:noon|lunch|work)", r"first thing", r"(?:vor)?mittags?", r"morgens?",
    r"mananas?", r"matins?", r"matinee", r"manhas?",
)  # fmt: skip
EVENING: Final = any_of(
    r"evenings?", r"nights?", r"after work", r"late (?:ones|at night)", r"abends?", r"abende", r"tardes?",
    r"noches?", r"soirs?", r"soiree", r"noites?",
)  # fmt: skip
EVE: Final = any_of(
    r"(?:the )?(?:evening|night|day) before", r"(?:the )?(?:previous|prior) (?:evening|night|day)", r"(?:am )?vorabend",
    r"(?:am )?(?:abend|tag) (?:davor|vorher|zuvor)", r"(?:la )?(?:noche|vispera|tarde) (?:anterior|antes)",
    r"el dia (?:anterior|antes)", r"(?:la )?veille(?: au soir)?", r"(?:na )?vespera", r"(?:na )?noite anterior",
)  # fmt: skip
NOT: Final = any_of(
    r"no", r"not", r"none", r"never", r"nothing", r"without", r"stop", r"don'?t", r"do not", r"turn(?:ing)? off",
    r"switch(?:ing)? off", r"turn .{1,40} off", r"quit", r"keine?n?", r"nicht", r"nie(?:mals)?", r"ohne", r"aufhoren",
    r"sin",
    r"nada", r"nunca", r"jamais", r"pas", r"plus de", r"sans", r"arrete\w*", r"nao", r"sem",
)  # fmt: skip
ONLY: Final = any_of(
    r"only", r"just", r"nur", r"bloss", r"solo", r"solamente", r"seulement", r"uniquement", r"apenas", r"so"
)
FEWER: Final = any_of(
    r"fewer", r"less", r"(?:too|so|this|that|as) (?:many|much|often)", r"cut (?:down|back)", r"reduce", r"half as many",
    r"weniger", r"(?:zu|so) viele?", r"seltener", r"menos", r"demasiad\w+", r"tantos", r"moins", r"trop(?: de)?",
    r"autant", r"tantas", r"demais", r"muit\w+",
)  # fmt: skip
WEEKLY: Final = any_of(
    r"(?:once|one|1|1x)(?: \w+)? (?:a|per|each|every) week", r"weekly", r"(?:only|just) (?:the )?(?:week )?review",
    r"einmal (?:die|pro|in der) woche", r"wochentlich", r"una vez (?:a la|por) semana", r"une fois (?:par|la) semaine",
    r"uma vez (?:por|a) semana",
)  # fmt: skip
USUAL: Final = any_of(
    r"as (?:usual|before|they were|normal)", r"like before", r"all (?:of )?(?:the )?(?:messages|reminders|nudges)",
    r"(?:everything|all) again", r"again as", r"back to normal", r"normal again", r"resume",
    r"more (?:messages|reminders)",
    r"wie (?:ublich|vorher|fruher|immer)", r"como (?:siempre|antes)", r"comme (?:d'habitude|avant)",
    r"como (?:de costume|sempre)",
)  # fmt: skip
PEACE: Final = any_of(
    r"(?:be )?quiet", r"silen\w*", r"(?:in )?peace", r"leave me (?:alone|be)", r"s?hush", r"mute", r"ruhe", r"silencio",
    r"paz", r"tais-toi", r"tranquille", r"sossego",
)  # fmt: skip
NAGGING: Final = any_of(r"nag(?:s|ging)?", r"bother(?:ing)?", r"pester(?:ing)?", r"spam(?:ming)?", r"bug(?:ging)? me")
RUNNING: Final = any_of(
    r"runs?", r"running", r"ran", r"session", r"long one", r"jog\w*", r"lauf\w*", r"corr\w*", r"cour\w*", r"carreras?"
)
# Small words that may stand around a part of the day in a line that is nothing else.
FILLER: Final = re.compile(
    r"\b(?:please|pls|thanks?|thank you|from now on|any ?more|for me|to me|the|in|at|ok|okay|hi|and|i|want|would like|"
    r"i'?d like|prefer|bitte|danke|am|por favor|por la|por|la|las|de|da|s'il (?:te|vous) plait|le|les|mehr|mas|mais)\b|"
    r"[.,!?;:]"
)
UNTIL: Final = re.compile(r"\b(?:until|till?|til|bis|hasta|jusqu\w*|ate)\b")
SHORT: Final = 7  # words; in a longer one "quiet" says how a week is
LONGEST: Final = 16  # words; a longer line tells of more than messages


def wish_in(text: str, today: date, held: NudgeWish | None) -> NudgeWish | None:
    """What the runner wants to get from now on, with what they asked for before; None if the line says no such."""
    line = squeezed(text.replace("’", "'"))
    if len(line.split()) > LONGEST:
        return None
    before = held or AS_USUAL
    terse = _part_alone(line)
    if terse is not None:
        return replace(before, part=terse)
    if EVE.search(line) and (MESSAGES.search(line) or ONLY.search(line) or len(line.split()) <= 4):
        return replace(before, eve=True)
    span = read_pause(text, today)
    if PEACE.search(line) and span and not RUNNING.search(line) and len(line.split()) <= SHORT:
        return replace(before, silent_to=span[-1])
    if MESSAGES.search(line) is None and not (WEEKLY.search(line) and ONLY.search(line)):
        return None
    return _about_messages(line, span, before)


def _about_messages(line: str, span: tuple[date, ...], before: NudgeWish) -> NudgeWish | None:
    """The wish of a line that names the messages."""
    days, denied = weekdays_in(line), NOT.search(line)
    if USUAL.search(line) and not denied:
        return AS_USUAL
    if days and denied and UNTIL.search(line) is None:
        return replace(before, without=tuple(sorted({*before.without, *days})))
    if WEEKLY.search(line):
        return replace(before, amount=NudgeAmount.WEEKLY)
    if (part := _part(line, denied=denied is not None)) is not None:
        return replace(before, part=part)
    if span and denied:
        return replace(before, silent_to=span[-1])
    if FEWER.search(line) or (denied and NAGGING.search(line)):
        return replace(before, amount=NudgeAmount.FEWER)
    return None


def _part(line: str, *, denied: bool) -> DayPart | None:
    """The half of the day that is wanted: the one named, or the other where it is turned down."""
    morning, evening = MORNING.search(line), EVENING.search(line)
    if (morning is None) == (evening is None) or not (denied or ONLY.search(line)):
        return None
    return DayPart.MORNINGS if (morning is not None) != denied else DayPart.EVENINGS


def _part_alone(line: str) -> DayPart | None:
    """As `_part`, of a line that says nothing else: "no mornings please", "evenings only"."""
    rest = FILLER.sub(" ", line)
    for idea in (NOT, ONLY, MORNING, EVENING):
        rest = idea.sub(" ", rest)
    plural = ONLY.search(line) or re.search(
        r"mornings|evenings|nights|morgens|abends|mananas|noches|tardes|matins|soirs|manhas|noites", line
    )
    return None if rest.strip() or plural is None else _part(line, denied=NOT.search(line) is not None)


def read_wish(text: str) -> str | None:
    """The canonical text of a wish, or of words for one that need no calendar; None for anything else."""
    line = squeezed(text).strip(" .!")
    if (wish := wish_of(line)) is not None:
        return wish.text
    spoken = wish_in(line if MESSAGES.search(line) else f"messages {line}", date.min + timedelta(days=7), None)
    return None if spoken is None or spoken.silent_to else spoken.text
