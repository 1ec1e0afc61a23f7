"""The words and numbers of a message as the table of signs reads them: the tokens of the line, slips mended.

Letters written as digits or signs, words run together, cut in two or spelled letter by letter are put right here. An
everyday word that is a slip away from one of ours is meant as it stands.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from importlib import resources

from nudgebot.domain.text.line.spelling import Slips, is_one_slip
from nudgebot.domain.text.line.tokens import LONGEST_LINE, MARK, NUMERIC, WORD, Token, asked, parting, tokens
from nudgebot.domain.text.symptoms.lay_words import LANGUAGES, SignWord, every_word, mentions, telling_words
from nudgebot.domain.text.word_files import words

W = words("sign_words")
LONGEST_WORD = 64  # letters; a longer word is none
_LAUGHTER = frozenset("😂🤣😹😆😅😜😝🤪")
_LETTERS = str.maketrans("013457 8@$!|".replace(" ", ""), "oieastb" + "asil")  # what is typed for a letter
_LETTER_SIGNS = frozenset("@$!|*")
_SPELLED = 4  # single letters in a row that make a word
_RUNS = re.compile(r"(.)\1{2,}")


@lru_cache(maxsize=8)
def heard(text: str) -> tuple[SignWord, ...]:
    """The words of `text` in order, slips mended; of a longer message the first and the last half of the longest."""
    if len(text) > LONGEST_LINE:
        text = f"{text[: LONGEST_LINE // 2]}\n{text[-LONGEST_LINE // 2 :]}"
    found = _words_of(tokens(text))
    # A look at the lengths of all words tells whether so many single letters may stand in a row.
    if "1" * _SPELLED in "".join([str(len(each.word)) for each in found]):
        found = _spelled_out(found)
    return tuple(_mended(found))


def without_idioms(text: str) -> str:
    """The text with every idiom left out: "31 done, the price nearly gave me a heart attack" names no illness."""
    found = heard(text)
    for start, end in {span for language in LANGUAGES for span in mentions(found, language)[1]}:
        first, last = found[start].start, found[end - 1].end
        text = f"{text[:first]}{' ' * (last - first)}{text[last:]}"
    return text


def _words_of(line: Sequence[Token]) -> list[SignWord]:
    """The words and numbers among the tokens; what laughs is a word."""
    out: list[SignWord] = []
    new = tuple.__new__  # a word in a third of the time
    gap = 2
    run = 0  # how many of the last words are glued together
    asks = asked(line)
    for at, token in enumerate(line):
        text = token.text
        if token.kind is MARK:
            if text in _LAUGHTER:
                out.append(SignWord("lol", token.start, token.end, gap))
                gap = run = 0
                continue
            following = line[at + 1] if at + 1 < len(line) else None
            goes_on = following is not None and following.glued and following.kind is not MARK
            if text in _LETTER_SIGNS and goes_on and (text in "@$" or (token.glued and run)):
                run = run if token.glued else 0
                out.append(SignWord(text, token.start, token.end, 0 if run else gap))
                gap, run = 0, run + 1
                continue
            run = _end_run(out, run) if run > 1 else 0
            gap = max(gap, parting(line, at))
            continue
        ascii_ = text.isascii()
        if not token.glued or not ascii_ or (run and token.kind is line[at - 1].kind is WORD):
            run = _end_run(out, run) if run > 1 else 0
        if not ascii_:
            continue
        if "'" not in text and text[-1] != ".":
            out.append(new(SignWord, (text, token.start, token.end, gap, asks[at], False)))
            gap, run = 0, run + 1
            continue
        for word in _spelled(token):
            out.append(SignWord(word, token.start, token.end, gap, asks[at], f"{word}'s" == text))
            gap, run = 0, run + 1
        if text[-1] == ".":  # "fever 38.5."
            gap, run = 2, _end_run(out, run) if run > 1 else 0
    if run > 1:
        _end_run(out, run)
    return out


def _spelled(token: Token) -> tuple[str, ...]:
    """A token as words without apostrophes; an owner's "'s" is left off."""
    text = token.text
    if token.kind in NUMERIC:
        return (text.rstrip("."),)
    if text == "i'll":
        return ("i", "will")
    return (text[:-2] if text.endswith("'s") and text not in W.contracted else text.replace("'", ""),)


def _end_run(out: list[SignWord], run: int) -> int:
    """Put back a word whose letters were typed as digits or signs ("ch3st") and are the last of `out`; always 0."""
    pieces = out[-run:]
    joined = "".join([each.word for each in pieces])
    if len(joined) <= LONGEST_WORD and not joined.isdigit():
        plain = joined.translate(_LETTERS)
        ways = (joined, plain, plain.replace("i", "l")) if "1" in joined or "!" in joined else (joined, plain)
        counts = run == 2 and pieces[0].word[0].isdigit()  # a number and its unit
        word = next((way for way in ways if way in every_word()), "")
        if not word and not counts and plain.isalpha():
            word = next((way for way in mend(plain)[:1] if way != plain), "")
        if word and (word == joined or not (counts and pieces[1].word in W.units)):
            out[-run:] = [pieces[0]._replace(word=word, end=pieces[-1].end)]
    if out[-1].word in _LETTER_SIGNS:
        out.pop()
    return 0


def _spelled_out(found: list[SignWord]) -> list[SignWord]:
    """Letters sent one by one ("c h e s t") made into words again."""
    out: list[SignWord] = []
    first = 0
    for at in range(len(found) + 1):
        here = found[at] if at < len(found) else None
        single = here is not None and len(here.word) == 1 and here.word.isalpha()
        if single and (at == first or not found[at].gap):
            continue
        if at - first >= _SPELLED:
            out.append(
                found[first]._replace(word="".join(each.word for each in found[first:at]), end=found[at - 1].end)
            )
        else:
            out += found[first:at]
        first = at
        if here is not None and not single:
            out.append(here)
            first = at + 1
    return out


def _mended(found: list[SignWord]) -> list[SignWord]:
    """`found` with every slip mended, also a letter that slipped over the space ("ches tpain")."""
    known = every_word()
    out: list[SignWord] = []
    before = ""  # the word before as it was sent
    for sent in found:
        each, word = sent, sent.word
        if word in known or not word.isalpha():
            out.append(sent)
            before = word
            continue
        if before not in known and not each.gap and before.isalpha():
            left, right = before + word[0], word[1:]
            if len(right) > 2 and left in known and right in known:
                out[-1] = out[-1]._replace(word=left)
                each = each._replace(word=right)
        before = each.word
        if before in known or len(before) > LONGEST_WORD:
            out.append(each)
            continue
        mended = mend(before)
        out.append(each if mended == (before,) else each._replace(word=mended[0]))
        out += [each._replace(word=further, gap=0) for further in mended[1:]]
    return out


# ------------------------------------------------------------------ slips


@lru_cache(maxsize=1)
def plain_words() -> frozenset[str]:
    """Everyday words that differ by a letter or two from one of ours, and are meant as they stand."""
    text = resources.files("nudgebot.domain.text.symptoms").joinpath("plain_words.txt").read_text("utf-8")
    return frozenset(line for line in text.splitlines() if not line.startswith("#"))


@lru_cache(maxsize=16384)
def mend(word: str) -> tuple[str, ...]:
    """`word` as one of ours where it is a slip of it, or the words it runs together; else as it is."""
    return (word,) if word in plain_words() and word not in every_word() else mended_blindly(word)


def mended_blindly(word: str) -> tuple[str, ...]:
    """`word` mended as if it could be no everyday word."""
    known = every_word()
    if word in known or len(word) < 3 or not word.isalpha():
        return (word,)
    if _RUNS.search(word):
        for to in (r"\1\1", r"\1"):
            if (shorter := _RUNS.sub(to, word)) in known:
                return (shorter,)
    near = _nearest(word) if len(word) >= 4 else None
    if near is not None:
        return (near,)
    return (_split(word) or (word,)) if len(word) >= 8 else (word,)


@lru_cache(maxsize=1)
def _slips() -> Slips:
    return Slips(word for word in every_word() if len(word) >= 4 and word.isalpha())


def _nearest(word: str) -> str | None:
    """The word of ours one slip away; the one with the same first and last letters where there are several."""
    near = _slips().near(word)
    if len(word) == 4:
        near = {w for w in near if sorted(w) == sorted(word) or (len(w) == 5 and w[0] == word[0])}
    telling = telling_words()

    def far(w: str) -> tuple[bool | int | str, ...]:
        return (
            not is_one_slip(word, w), w not in telling, sorted(w) != sorted(word), w[0] != word[0],
            w[-1] != word[-1], abs(len(w) - len(word)), w,
        )  # fmt: skip

    return min(near, key=far, default=None)


def _split(word: str) -> tuple[str, ...] | None:
    """A run-together line ("ihavechestpain") cut into words of ours; None unless all of it is used."""
    known = every_word()
    best: list[tuple[str, ...] | None] = [()] + [None] * len(word)  # the fewest words that spell word[:i]
    for start, before in enumerate(best):
        if before is None:
            continue
        for end in range(start + 1, min(start + 16, len(word)) + 1):
            piece, now = word[start:end], best[end]
            if not (piece in W.small or (len(piece) >= 3 and piece in known)):
                continue
            if now is None or len(before) + 1 < len(now):
                best[end] = (*before, piece)
    whole = best[len(word)]
    return whole if whole and len(whole) <= 2 + len(word) // 4 else None
