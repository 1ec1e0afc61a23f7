"""Lines that say one thing in plain words, in five languages: each reader is a row of patterns of `words/`.

Fear *of* something ("I am scared people will laugh") has told its reason and is talk; help *with* something is a wish.
A question about a coach has three things in one line: a coach, seeing, and asking. Words beside them do not matter, and
a line that tells a sign is not asked here at all.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.line.regional import as_standard
from nudgebot.domain.text.line.tokens import LONGEST_LINE
from nudgebot.domain.text.word_files import patterns

LONGEST_QUESTION = 300  # characters of a question that are looked at


def plain(text: str) -> str:
    """A line folded, single spaces between its words, regional spellings as the words of the dictionary."""
    return as_standard(squeezed(text))


def saying(
    file: str, *all_of: str, but: Sequence[str] = (), whole: bool = False, within: int = LONGEST_LINE
) -> Callable[[str], bool]:
    """Whether a line says each of some patterns of a file of `words/` and none of others.

    `whole`: the one pattern is all that the line says; `within`: the characters of a longer line that are looked at.
    """
    found = patterns(file)

    def says(text: str) -> bool:
        line = plain(text[:within])
        if whole:
            return all(getattr(found, each).fullmatch(line.strip(" .!")) for each in all_of)
        return all(getattr(found, each).search(line) for each in all_of) and not any(
            getattr(found, each).search(line) for each in but
        )

    return says


# Somebody calls for help, or is afraid and does not say of what.
is_cry_for_help = saying("talk", "cry")
# The death or the funeral of somebody near.
tells_a_death = saying("talk", "bereaved")
# A question what a coach sees of its writer.
asks_what_a_coach_sees = saying("talk", "coach", "sees", "asks", but=("told_back",), within=LONGEST_QUESTION)
# One can after all, on a day that the line names: "I can run Thursday after all", "geht doch".
frees_a_day = saying("talk", "after_all", "can")
# Whether one may run, on a day that the line names or today, and nothing beside it.
asks_to_run = saying("talk", "may_run", but=("beside",), within=LONGEST_QUESTION)
# What there is to do on a day; the week or the plan.
asks_what_is_on = saying("talk", "what", within=LONGEST_QUESTION)
asks_for_the_plan = saying("talk", "plan_or_what", within=LONGEST_QUESTION)
# An absence, and that its end is not known; the same as an answer to "until when?".
has_no_end = saying("short_lines", "absence_without_end")
end_is_not_known = saying("short_lines", "end_not_known")
# An illness is over; it has gone, said of it by name and of nothing that it goes on; nobody is better.
says_lifted = saying("illness", "lifted", but=("not_lifted", "not_well"))
_says_recovered = saying("illness", "well", but=("not_well",))
denies_better = saying("illness", "denied_better")
# It gets worse after doing something; nobody is ill, and no more than that.
worse_after_effort = saying("illness", "worse_after_effort")
says_not_ill = saying("illness", "not_ill", whole=True)
# Until when something lasted; since when it is there, or that it is there now; that a day was the last of it.
says_until = saying("illness", "until")
says_since = saying("illness", "since")
says_the_last_of_it = saying("illness", "last_of_it")
# Medicine that hides a fever; not where it was done without.
hides_a_fever = saying("illness", "medicine_taken")
# Somebody who examines people, or a test that they do; whether something gentler than running may be done.
speaks_of_clinician = saying("clearance", "clinician_or_test", but=("no_clinician", "of_somebody_else"))
asks_about_moving = saying("clearance", "asks", "moving")
# A clinician's word: still to come, or no; that running is cleared, not where it is asked, hoped or waited for.
not_yet = saying("clearance", "not_yet")
says_cleared = saying("clearance", "says_cleared", but=("cleared_later",))
# What was taken for a complaint was about something or somebody else.
misread = saying("clearance", "misread", but=("still_meant",))


def says_well(text: str) -> bool:
    """Whether somebody who was ill says that it is over."""
    return _says_recovered(text) or says_lifted(text)
