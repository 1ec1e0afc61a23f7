"""What somebody who is or was ill says: that it is over, that it is worse, a temperature, a day."""

from __future__ import annotations

import re
from datetime import date, timedelta

from nudgebot.domain.text.claims import BODY, BODY_F, FEVER_FROM
from nudgebot.domain.text.folding import fold
from nudgebot.domain.text.reply import answering_part, read_days

WELL = re.compile(
    r"\b(?:better|(?:fine|ok|okay|well|healthy|good|fit) (?:again|now|since)|recovered|back to normal|on the mend|"
    r"over it|no (?:more )?(?:fever|temperature|symptoms)|symptom ?free|"
    r"(?:fever|flu|bug|covid|it)(?: i)?s? (?:is |has |has been |have |all )*(?:gone|over|passed)|"
    r"besser|wieder (?:gesund|fit|gut|ok)|gesund|fieberfrei|kein fieber mehr|auskuriert|"
    r"mejor|recuperad[oa]|ya (?:estoy )?bien|sin fiebre|curad[oa]|"
    r"mieux|gueri[e]?|retabli[e]?|remis[e]?|plus de fievre|"
    r"melhor|recuperad[oa]|ja (?:estou )?bem|sem febre|curad[oa])\b"
)
NOT_WELL = re.compile(
    r"\b(?:not|isnt|isn't|no|hardly|never|nicht|kaum|noch nicht|no estoy|pas|nao|sem) (?:\w+ ){0,2}"
    r"(?:better|well|ok|fine|besser|gesund|fit|mejor|bien|mieux|gueri|melhor|bem)\b|\bworse\b|\bschlechter\b|"
    r"\bpeor\b|\bpire\b|\bpior\b|"
    r"\b(?:when|once|if|until|till|hope|hoping|wenn|bis|cuando|quand|quando|soon)\b"
)
MEDICINE = re.compile(
    r"\b(?:paracetamol|acetaminophen|ibuprofen\w*|aspirin\w*|naproxen|metami[sz]ol|dipyrone|dipirona|novaminsulfon|"
    r"diclofenac|tablets?|pills?|meds|medicine|medication|medikament\w*|tabletten?|pastillas?|medicin\w*|comprim\w+|"
    r"medicament\w*|remedios?)\b"
)
WITHOUT = re.compile(r"\b(?:without|no|off|ohne|keine?|sin|sans|sem) +(?:any |more |fever |your |my )?$")
WORSE_AFTER_EFFORT = re.compile(
    r"\b(?:worse|crash\w*|flattened|wiped out|relapse\w*|floored|schlechter|schlimmer|peor|pire|plus mal|pior)\b.{0,40}"
    r"\b(?:after|since|following|every time i|whenever i|when i|nach|seit|despues|tras|cuando|apres|quand|"
    r"depois|quando)"
    r"\b.{0,25}\b(?:run\w*|jog\w*|walk\w*|exercise|effort|exertion|training|exercising|stairs|doing|lauf\w*|"
    r"spaziergang|gehen|anstrengung|sport|corr\w+|camin\w+|esfuerzo|cour\w+|march\w+|effort|esforco|caminh\w+)\b"
)
NOTHING = re.compile(
    r"\b(?:no|nope|nah|none|nothing|not|neither|nein|nichts|keine?s?|nix|ninguno|ninguna|nada|non|rien|aucune?|nao|"
    r"nenhum|nenhuma|negative|nil)\b"
)
YES = re.compile(r"^\W*(?:yes|yeah|yep|yup|ja|si|oui|sim|a bit|a little|some|etwas|un poco|un peu|um pouco)\b")
JUST_TIRED = re.compile(
    r"\b(?:just|only|nur|solo|seulement|juste|so|apenas|bit|still) (?:a |bit |a bit |very |un poco |etwas |un peu )?"
    r"(?:tired|weak|knackered|drained|mude|schlapp|cansad[oa]|fatigue[e]?|fatigad[oa])\b"
)
NUMBER = re.compile(
    r"(?<![\d.,:/])(\d{2,3}(?:[.,]\d)?)(?![\d.,:/]*\d)\s*(?:°|º|c\b|f\b|grad\b|grados\b|degr\w+|graus\b)?"
)
A_TIME = re.compile(r"\b\d+ ?(?:min\w*|h|hrs?|hours?|km|k|miles?|m|mi|std|stunden?|horas?|heures?|x)\b")
A_RUN = re.compile(
    r"\b(?:r[au]n\w*|jog\w*|walk\w*|easy|treadmill|lauf\w*|gelaufen|lief|gejoggt|ruhig|locker|corr\w+|trot\w*|"
    r"cour\w+|footing|caminh?\w+|march\w+|session|did|log)\b"
)
NOT_ILL = re.compile(r"\W*(?:i am|i'm|im) not ill\W*", re.IGNORECASE)
# Not the parts of a temperature: 38.6 names no sixth.
DAY_OF_MONTH = re.compile(r"(?<!\d[.,])\b(\d{1,2})(?:st|nd|rd|th|\.)?(?= |$|[,.!\u2026](?!\d))")
SINCE = re.compile(r"\b(?:since|seit|desde|depuis|again|wieder|otra vez|de nouveau|outra vez|de novo)\b")
UNTIL = re.compile(r"\b(?:until|till?|'til|bis|hasta|jusqu\w*|ate)\b", re.IGNORECASE)


def worse_after_effort(text: str) -> bool:
    """Whether somebody who is or was ill says that it gets worse after doing something."""
    return WORSE_AFTER_EFFORT.search(fold(text)[0]) is not None


def bare_temperature(text: str) -> tuple[str, float] | None:
    """A number as written and in degrees Celsius that somebody who is ill can only mean as a temperature."""
    line = fold(text)[0]
    if A_TIME.search(line) or A_RUN.search(line):
        return None
    numbers = NUMBER.findall(line)
    if len(numbers) != 1:
        return None
    value = float(numbers[0].replace(",", "."))
    if FEVER_FROM - 1 <= value <= BODY[1]:
        return numbers[0], value
    return (numbers[0], (value - 32) / 1.8) if BODY_F[0] + 2 <= value <= BODY_F[1] else None


def says_not_ill(text: str) -> bool:
    """Whether a line says no more than that the runner is not ill."""
    return NOT_ILL.fullmatch(text) is not None


def says_well(text: str) -> bool:
    """Whether somebody who was ill says that it is over."""
    line = fold(text)[0]
    return WELL.search(line) is not None and not NOT_WELL.search(line)


def question_answered(text: str) -> bool | None:
    """Whether a line says yes or no to the first question back; None where it says neither, or both.

    A sign named in the line never gets here: triage comes first.
    """
    line = fold(answering_part(text))[0]
    yes, no = YES.search(line) is not None, NOTHING.search(line) is not None
    if yes != no:
        return yes
    return False if not yes and JUST_TIRED.search(line) else None


def told_day(text: str, today: date) -> date | None:
    """The day gone that answers "which day?": a name, a date, or a day of the month; never the minutes of a run."""
    line = UNTIL.sub("", fold(text)[0])
    if A_TIME.search(line) or A_RUN.search(line):
        return None
    named = [day for day in read_days(line, today, past=True) if day <= today]
    numbers = [int(n) for n in DAY_OF_MONTH.findall(line) if 1 <= int(n) <= 31]
    if len(numbers) == 1:
        gone = (today - timedelta(days=back) for back in range(31))
        named += [day for day in gone if day.day == numbers[0]][:1]
    return max(named, default=None)


def says_until(text: str) -> bool:
    """Whether a line says until when something lasted."""
    return UNTIL.search(fold(text)[0]) is not None


def says_since(text: str) -> bool:
    """Whether a line says since when something is there, or that it is there now."""
    return SINCE.search(fold(text)[0]) is not None


def hides_a_fever(text: str) -> bool:
    """Whether fever medicine is named, which hides a fever; not where it was done without."""
    line = fold(text)[0]
    found = MEDICINE.search(line)
    return found is not None and not WITHOUT.search(line[: found.start()])
