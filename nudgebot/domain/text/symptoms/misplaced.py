"""Words of a sign that mean something else where they stand: an amount of running, excitement, hyperbole, fog."""

from __future__ import annotations

from itertools import pairwise

from nudgebot.domain.text.folding import word_set
from nudgebot.domain.text.log_lines.lexicon import said_in_any
from nudgebot.domain.text.symptoms.tokens import Token, turn_ends, turns
from nudgebot.domain.text.symptoms.words import Mention

_THE = word_set(
    "the a an my our his her their this that old big young number el la los las mi un una nuestro der die das den "
    "mein meine unser unsere ein eine d s le les l mon ma notre une o os as meu minha nosso nossa um uma"
)
_TO_THE_CAUSE = word_set("of with from for the a an my sheer pure vor lauter de d del du la le el da do")
# What nobody dies of who says so.
_SAID_FOR_FUN = word_set(
    "hunger thirst laughter laughing boredom embarrassment shame curiosity envy jealousy tiredness sleepiness love "
    "coffee tea beer cake chocolate breakfast lunch dinner food pizza shower "
    "durst lachen langeweile mudigkeit scham peinlichkeit neugier neid "
    "hambre sed risa aburrimiento verguenza cansancio sueno curiosidad envidia amor "
    "faim soif rire ennui honte fatigue sommeil curiosite jalousie envie "
    "fome sede riso rir tedio vergonha cansaco sono curiosidade inveja"
)
_OPENERS = word_set("and but then because cos when while as und aber weil y e et mais mas porque car")


def is_misplaced(mention: Mention, found: list[Token]) -> bool:
    """Whether a mention means something else where it stands: a thing or an animal that is not the subject of its
    clause, the short form "kms" after a number, or "dying" of hunger or laughter.
    """
    if mention.concept in {"NEED_HELP", "DOOM"}:
        at = mention.end
        while at < len(found) and not found[at].gap and found[at].word in _TO_THE_CAUSE - _SAID_FOR_FUN:
            at += 1
        return mention.end <= at < len(found) and not found[at].gap and found[at].word in _SAID_FOR_FUN
    if mention.concept == "SUICIDE" and mention.start and found[mention.start].word == "kms":
        return found[mention.start - 1].word[0].isdigit()
    if mention.concept == "SUICIDE" and found[mention.end - 1].word in _TAKE_ON:
        return _is_an_amount(found, mention.end)
    if mention.concept == "SADDLE" and found[mention.end - 1].word in _ENDS:
        return mention.end < len(found) and found[mention.end].word == "of"  # "the bottom of my foot"
    if mention.concept == "FAINT" and found[mention.start].word == "knocked":
        suffered = mention.start and found[mention.start - 1].word in _SUFFERED
        return not suffered and _is_an_amount(found, mention.end)
    if mention.concept != "THING":
        return False
    at = mention.start
    while at and not found[at].gap and found[at - 1].word in _THE:
        at -= 1
    return bool(at) and not found[at].gap and found[at - 1].word not in _OPENERS


_TAKE_ON = word_set("aventarme aventar aventarnos")
_ENDS = word_set("bottom rear seat behind")
_SUFFERED = word_set("was were got get getting been being be is am im me him her them us myself")
_ARTICLES = word_set(
    "a an the my our another those these some other un una unos unas el la los las mi otro otra otros otras medio "
    "media quick easy short long good nice solid whole full last first half about around steady gentle slow"
)
_AMOUNTS = word_set(
    "km k kms kilometros kilometro kilometers kilometres mile miles milla millas m metros meters metres min mins "
    "minute minutes minutos minuto hour hours hora horas h session sessions run runs lap laps loop loops reps "
    "intervals set carrera carreras maraton maratones vuelta vueltas tirada entreno entrenamiento series circuito "
    "marathon half 5k 10k parkrun"
)


def _is_an_amount(found: list[Token], at: int) -> bool:
    """Whether token `at` begins an amount of running: "4 miles", "another half hour", "una carrera"."""
    for k in range(at, min(at + 5, len(found))):
        word = found[k].word
        if found[k].gap:
            return False
        if word in _AMOUNTS:
            return True
        if not (word[0].isdigit() or word in _ARTICLES or word in said_in_any("numbers")):
            return False
    return False


_NEARLY = turns(
    "me va a dar un, me va a dar el, casi me da un, casi me dio un, me da un, me dio un, me iba a dar un, nos da un, "
    "je vais faire un, je vais faire une, vais faire un, vais faire une, va me faire faire une, va me faire faire un, "
    "j ai failli faire un, j ai failli faire une, failli faire un, failli faire une, vais avoir un, vais avoir une, "
    "vou ter um, vai me dar um, vai dar me um, quase tive um, ia tendo um, ia me dando um, quase me deu um, "
    "dava me um, krieg einen, kriege einen, krieg noch einen, kriege noch einen, bekomme einen, bekomme noch einen, "
    "fast einen, krieg gleich einen, going to have a, gonna have a, nearly had a, almost had a, nearly gave me a, "
    "will give me a, gave me a, giving me a"
)
_OVER_SOMETHING = word_set(
    "con de por viendo cuando si cada com vendo quando de a devant avec en a ce cette bei mit wegen wenn watching over "
    "with at when from if"
)


def is_excitement(mention: Mention, named: list[Mention], found: list[Token]) -> bool:
    """Whether a heart attack is one that somebody or something "nearly gave me": "me va a dar un infarto con ..."."""
    if mention.concept not in OF_THE_HEART:
        return False
    leads = any(end == mention.start for _, end in turn_ends(found, _NEARLY))
    after = mention.end < len(found) and found[mention.end].word in _OVER_SOMETHING and not found[mention.end].gap
    near = range(mention.end, mention.end + 4)
    effort = any(m.concept == "EFFORT" and m.start in near for m in named)
    return leads and after and not effort


OF_THE_HEART = word_set("HEART_NOW HEART_EVENT DOOM")
_SEE = word_set("see sehe sehen sah gesehen veo veia ver vois voyais vu voit vejo via")
_FAR = word_set("yard yards yd metre metres meter meters m ft feet foot km metros metern")
_OF_THE_EYES = word_set(
    "eye eyes vision sight side half auge augen ojo ojos vista oeil yeux vue olho olhos visao blind double"
)


def is_hidden(mention: Mention, named: list[Mention], found: list[Token]) -> bool:
    """Whether something hides what cannot be seen: "couldn't see 20 yards", "ne vois rien dans le brouillard"."""
    if not any(token.word in _SEE for token in found[mention.start : mention.end]):
        return False
    if any(token.word in _OF_THE_EYES for token in found):
        return False
    near = [token.word for token in found[mention.end : mention.end + 4]]
    far = any(word[0].isdigit() and after in _FAR for word, after in pairwise(near))
    return far or any(other.concept == "MURK" for other in named)
