"""The features of a line for the learned intent: words, letter groups, and what the rules found."""

from itertools import combinations, pairwise

from nudgebot.domain.text.learned.features import hashed
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.line.tokens import Kind, Token
from nudgebot.domain.text.log_lines.result import Intent
from nudgebot.domain.text.log_lines.rules import Parsed

ROWS = 1 << 16  # places of the table
INTENTS = tuple(Intent)  # the order of the table's columns
WORDS_READ = 200  # words of a line that are looked at: more say nothing more about what it is for
_GROUPED_FROM = 4  # letters of a word that is cut into groups
_LONGEST = 24  # letters of a word that are cut into groups
_ACROSS, _ACROSS_READ = 5, 400  # letters of a group that runs across words; letters of a line that are cut so
_CLAUSES, _CLAUSE_WORDS = 40, 60  # clauses, and words of each, that are looked at
_SIZES = ((1, "0"), (10, "9"), (20, "19"), (30, "29"), (61, "60"), (91, "90"), (221, "220"), (601, "600"))


def shown(token: Token) -> str:
    """A token as the learned readers see it: a word, a sign, or the kind and size of a number."""
    match token.kind:
        case Kind.WORD | Kind.MARK:
            return token.text
        case Kind.NUMBER:
            return f"#{size_of(token.value)}{'' if token.value == int(token.value) else '.'}"
        case _:
            return f"#{token.kind.name}"


def size_of(value: float) -> str:
    """The class of a number's size."""
    return next((name for under, name in _SIZES if value < under), "more")


def shown_words(line: ParsedLine) -> list[str]:
    """The first words of a line as the learned readers see them."""
    return [shown(token) for token in line.tokens[:WORDS_READ]]


def word_features(words: list[str]) -> list[str]:
    """Words, pairs, triples and pairs with a gap; the ends of the line count as words."""
    framed = ["^", *words, "$"]
    features = [*words]
    features += [f"{a} {b}" for a, b in pairwise(framed)]
    features += [f"{a} {b} {c}" for a, b, c in zip(framed, framed[1:], framed[2:], strict=False)]
    features += [f"{a} _ {b}" for a, b in zip(framed, framed[2:], strict=False)]
    return features


def letter_features(words: list[str]) -> list[str]:
    """Groups of 3 to 5 letters of each longer word, its ends marked."""
    features = []
    for word in set(words):
        if len(word) >= _GROUPED_FROM and word[0] != "#":
            spaced = f"<{word[:_LONGEST]}>"
            for size in (3, 4, 5):
                features += [f"~{spaced[at : at + size]}" for at in range(len(spaced) - size + 1)]
    return features


def across_features(words: list[str]) -> list[str]:
    """Groups of letters that run from one word into the next."""
    joined = f" {' '.join(words)[:_ACROSS_READ]} "
    return [f"+{joined[at : at + _ACROSS]}" for at in range(len(joined) - _ACROSS + 1)]


def clause_features(parse: Parsed) -> list[str]:
    """The words of each clause with its place in the line and with how it is meant."""
    features: list[str] = []
    clauses = parse.clauses[:_CLAUSES]
    for place, clause in enumerate(clauses):
        words = [shown(token) for token in parse.line.tokens[clause.first : clause.last][:_CLAUSE_WORDS]]
        where = "first" if place == 0 else "last" if place == len(clauses) - 1 else "between"
        features += [f"@{where} {word}" for word in words]
        features += [f"@{clause.mood.name} {word}" for word in words]
    return features


def rule_features(parse: Parsed) -> list[str]:
    """What the rules found: hints, their pairs, the moods and amounts of clauses, and the reading they came to."""
    reading, told = parse.reading, parse.told
    features = [f"=intent {reading.intent}", f"=asks {reading.intent} {reading.ask_back}", f"=lang {reading.language}"]
    features.append(f"=purpose {parse.purpose.intent if parse.purpose else None} {bool(told.runs)} {told.reported}")
    features.append(f"=runs {bool(told.runs)} {told.sure}")
    cues: set[str] = set()
    for clause in parse.clauses[:WORDS_READ]:
        features += [f"=mood {clause.mood.name} {cue}" for cue in clause.cues]
        features += [f"=mood {clause.mood.name} {amount.sort.name}" for amount in clause.amounts]
        features.append(f"=mood {clause.mood.name}")
        cues.update(clause.cues)
    features += [f"=sort {amount.sort.name}" for amount in parse.amounts[:WORDS_READ]]
    features += [f"=day {day.shape.name} {day.tense}" for day in parse.days[:WORDS_READ]]
    names = sorted(cues)
    features += [f"=cue {cue}" for cue in names]
    features += [f"=cues {a} {b}" for a, b in combinations(names[:40], 2)]
    return features


def blocks_of(parse: Parsed) -> list[list[int]]:
    """The places of a line's features, block by block."""
    words = shown_words(parse.line)
    blocks = (
        word_features(words), letter_features(words), rule_features(parse), across_features(words),
        clause_features(parse),
    )  # fmt: skip
    return [hashed(block, ROWS) for block in blocks]
