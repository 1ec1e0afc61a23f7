"""What a word can hint at. The word files in `words/` list the words; this is the closed list of hints."""

from enum import StrEnum


class Cue(StrEnum):
    """One hint. Several can lie in one word."""

    # units and labels of amounts
    MINUTE = "minute"
    HOUR = "hour"
    SECOND = "second"
    M = "m"  # minutes or metres
    KM = "km"
    MILE = "mile"
    METRE = "metre"
    BPM = "bpm"
    DEGREE = "degree"
    CELSIUS = "celsius"
    FAHRENHEIT = "fahrenheit"
    PERCENT = "percent"
    HUMIDITY = "humidity"
    COUNTED = "counted"  # things that can be counted and are not minutes: kilos, steps, laps, years
    SPAN_DAY = "span_day"  # days, weeks, months as a length
    SPAN_WEEK = "span_week"
    SPAN_MONTH = "span_month"
    CLOCK = "clock"  # am, pm, o'clock
    PACE = "pace"
    PER = "per"
    HEART = "heart"
    AVERAGE = "average"
    MAXIMUM = "maximum"
    MINIMUM = "minimum"
    RESTING = "resting"
    EFFORT = "effort"
    PAIN_SCALE = "pain_scale"
    NUMBERED = "numbered"  # the number after it is a name: bib, size, room
    AT = "at"  # a clock time or a value may follow
    FILLER = "filler"  # may stand between a label and its number
    OUT_OF = "out_of"
    AND = "and"
    DURATION = "duration"
    AFTER_HOURS = "after_hours"
    DISTANCE_NAMED = "distance_named"

    # days
    DAY = "day"
    WEEKDAY = "weekday"
    MONTH = "month"
    ORDINAL = "ordinal"
    PART_OF_DAY = "part_of_day"
    WEEKEND = "weekend"
    WEEK = "week"
    LAST = "last"
    NEXT = "next"
    THIS = "this"
    EVERY = "every"
    UNTIL = "until"
    TO = "to"
    FROM = "from"
    FOR = "for"
    AGO = "ago"
    WITHIN = "in"
    ON_THE = "on_the"

    # what a clause is about
    RAN = "ran"  # a session in the past tense
    DID = "did"  # done, finished, managed
    ADDED = "added"  # something that often follows a log and proves nothing
    RUN = "run"
    WALK = "walk"
    BIKE = "bike"
    SWIM = "swim"
    ROW = "row"
    HIKE = "hike"
    ELLIPTICAL = "elliptical"
    STRENGTH = "strength"
    MOBILITY = "mobility"
    HARD = "hard"
    PART = "part"  # a part of one session: warm-up, out, back
    TOTAL = "total"
    INCLUDING = "including"
    CUT_SHORT = "cut_short"
    IN_PLACE = "in_place"
    SOFT = "soft"  # describes a run, changes nothing
    KNOWN = "known"  # ordinary words
    OTHER_DOING = "other_doing"  # time spent on something that is no session
    SELF = "self"
    FUTURE = "future"
    PLAN = "plan"
    NOT = "not"
    HYPOTHETICAL = "hypothetical"
    JEST = "jest"  # takes back what was said
    LONG_AGO = "long_ago"  # another time of life
    PERSON = "person"
    OTHERS = "others"
    QUESTION = "question"
    BUT = "but"
    ONLY = "only"
    EITHER = "either"

    # what a line is for
    SKIP = "skip"
    MOVE = "move"
    BUSY = "busy"
    CANNOT = "cannot"
    LIMIT = "limit"
    AWAY = "away"
    PAUSE = "pause"
    BACK = "back"
    STATUS = "status"
    UNDO = "undo"
    MAKE_THAT = "make_that"
    COMPLAINT = "complaint"
    HURTS = "hurts"
    BODY = "body"
    NO_COMPLAINT = "no_complaint"
    SETTINGS = "settings"
    HELLO = "hello"
    CONVERSATION = "conversation"  # stop, snooze, cleared: told to the conversation, not to the reader
    SWAP = "swap"
    YES = "yes"
    NO = "no"


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
