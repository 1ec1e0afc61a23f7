"""What a word can hint at. The word files in `words/` list the words; this is the closed list of hints."""

from enum import StrEnum

# One hint; several can lie in one word. The value is the name of its section in the word files.
Cue = StrEnum(
    "Cue",
    (
        # units and labels of amounts
        "MINUTE", "HOUR", "SECOND",
        "M",  # minutes or metres
        "KM", "MILE", "METRE", "BPM", "DEGREE", "CELSIUS", "FAHRENHEIT", "PERCENT", "HUMIDITY",
        "COUNTED",  # things that can be counted and are not minutes: kilos, steps, laps, years
        "SPAN_DAY",  # days, weeks, months as a length
        "SPAN_WEEK", "SPAN_MONTH",
        "CLOCK",  # am, pm, o'clock
        "PACE", "PER", "HEART", "AVERAGE", "MAXIMUM", "MINIMUM", "RESTING", "EFFORT", "PAIN_SCALE",
        "NUMBERED",  # the number after it is a name: bib, size, room
        "AT",  # a clock time or a value may follow
        "FILLER",  # may stand between a label and its number
        "OUT_OF", "AND", "DURATION", "AFTER_HOURS", "DISTANCE_NAMED",
        # days
        "DAY", "WEEKDAY", "MONTH", "ORDINAL", "PART_OF_DAY", "WEEKEND", "WEEK", "LAST", "NEXT", "THIS", "EVERY",
        "UNTIL", "TO", "FROM", "FOR", "AGO", "WITHIN", "ON_THE",
        # what a clause is about
        "RAN",  # a session in the past tense
        "DID",  # done, finished, managed
        "RUN", "WALK", "BIKE", "SWIM", "ROW", "HIKE", "ELLIPTICAL", "STRENGTH", "MOBILITY", "HARD",
        "PART",  # a part of one session: warm-up, out, back
        "TOTAL", "INCLUDING", "CUT_SHORT", "IN_PLACE",
        "SOFT",  # describes a run, changes nothing
        "KNOWN",  # ordinary words
        "OTHER_DOING",  # time spent on something that is no session
        "SELF", "FUTURE", "PLAN", "NOT", "HYPOTHETICAL",
        "JEST",  # takes back what was said
        "LONG_AGO",  # another time of life
        "PERSON", "OTHERS", "QUESTION", "BUT", "ONLY", "EITHER",
        # what a line is for
        "SKIP", "MOVE", "BUSY", "CANNOT", "LIMIT", "AWAY", "PAUSE", "BACK", "STATUS", "UNDO", "MAKE_THAT", "COMPLAINT",
        "HURTS", "BODY",
        "NO_COMPLAINT",  # phrases that hide the words of a complaint in them: "no pain", "gave blood"
        "SETTINGS", "HELLO",
        "CONVERSATION",  # stop, snooze, cleared: told to the conversation, not to the reader
        "SWAP", "YES", "NO",
    ),
)  # fmt: skip

# Words of these hints are known even with one slip of the thumb. A session is not among them: a slip
# must not turn talking into walking and so a sentence into a log.
FORGIVEN = frozenset(
    (
        Cue.MINUTE, Cue.DAY, Cue.WEEKDAY, Cue.SKIP, Cue.UNDO, Cue.STATUS, Cue.CANNOT, Cue.AWAY, Cue.BUSY,
        Cue.MOVE, Cue.SOFT, Cue.PART_OF_DAY, Cue.FUTURE, Cue.NOT, Cue.PLAN, Cue.PERSON, Cue.HELLO,
    )
)  # fmt: skip
ACTIVITIES = (
    Cue.RUN, Cue.WALK, Cue.BIKE, Cue.SWIM, Cue.ROW, Cue.HIKE, Cue.ELLIPTICAL, Cue.STRENGTH, Cue.MOBILITY,
)  # fmt: skip
