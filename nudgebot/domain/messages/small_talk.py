"""Short answers to lines that are about nothing in the plan, and to buttons that are out of date."""

from __future__ import annotations

HELLO = "Hello. Write a line after a run, or /week for the plan."
AGREED = "Good. Write the minutes afterwards, that is all."
THANKS = "Any time."
HEARD = "Thanks for telling me."
NOTHING_PLANNED = "Nothing is planned meanwhile, so there is nothing to call off."
UNKNOWN_WHILE_ILL = "I did not get that. How are you: better, the same, or worse?"
UNKNOWN = "I did not get that. After a run just write the minutes, 42 easy for instance; /help shows the rest."
ABOUT_OTHERS = "I hope they are looked after. If it is there now, or comes back: {call}."
SOMEBODY_ELSES = (
    "So I took it: it was about somebody else, and your own running stays as it is. I hope they are looked after. If "
    "it is there now, or comes back: {call}."
)
TEXT_ONLY = "I read text, runs as GPX files, and calendars. After a run just write the minutes: 42 easy."
TEXT_ONLY_AT_FIRST = "I read text, nothing else. Write /start, and I ask you a few things before the first run."
STOPPED = "I go silent now. Your log stays; write anything when you want me back, or /erase to delete all of it."
BY_INVITATION = "This bot is by invitation. Whoever coaches or hosts here can send you one."
NOT_NOW = "That button is out of date. Just write it as a line."
NOT_OPEN = "That question is no longer open. Just write it as a line."
IF_MISSED = (
    "Nothing bad. Minutes not run come back where the week has room; the rest is let go. "
    "After a longer break the first runs are shorter. Write what changes, like busy thursday, and I rearrange."
)
CANNOT_ANSWER = "I have no good answer to that. About the plan, /why and /week may help; about health, ask a clinician."
WELCOME_BACK = "Welcome back."
