"""What a coach does to others and is asked about first: messages, and taking somebody out of the group. Pure."""

from __future__ import annotations

import re
from dataclasses import replace

from nudgebot.domain.dialogue.coach.coach_desk import (
    Desk,
    Done,
    Post,
    ask_which_runner,
    cannot_be_told,
    for_one,
    say_to_coach,
)
from nudgebot.domain.dialogue.values import Choices, Heard, ask
from nudgebot.domain.messages.group import coach as pages
from nudgebot.domain.messages.group import group as words
from nudgebot.domain.messages.group.roster import STATE_WORDS
from nudgebot.domain.model.actions import Agreed, Reply
from nudgebot.domain.model.parameters import QUESTION_LASTS
from nudgebot.domain.model.questions import Ask, Asked
from nudgebot.domain.model.speech import Say
from nudgebot.domain.overview.group import Member, State, find, roster, sight
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.reply import read_yes_no
from nudgebot.domain.text.word_files import patterns

P = patterns("dialogue")

LONGEST_MESSAGE = 1000  # characters
ASKED_AT_DESK = (Ask.TELL, Ask.REMOVE)
_SEND: Choices = (("Send", Agreed(True)), ("Do not send", Agreed(False)))
_TAKE_OUT: Choices = ((pages.TAKE_OUT, Agreed(True)), (pages.KEEP_IN, Agreed(False)))
_EVERYBODY = re.compile(r"(?:all|everybody)\b[:\s]*", re.IGNORECASE)


def read_agreement(asked: Asked | None, heard: Heard) -> bool | None:
    """A yes or no to `asked`, said or pressed; None if the line is about something else, or comes too late."""
    if asked is None or heard.at - asked.at > QUESTION_LASTS.span:
        return None
    match heard.action:
        case None:
            typed = heard.text.strip(" .!").casefold()
            return True if typed == "send" and asked.what is Ask.TELL else read_yes_no(heard.text)
        case Reply(asked.token, Agreed(yes)):
            return yes
        case _:
            return None


def answer_at_desk(desk: Desk, heard: Heard) -> Done | None:
    """The coach's word on what was shown first; None if the line is about something else."""
    asked = desk.me.asked
    word = read_agreement(asked, heard)
    if asked is None or word is None or asked.what not in ASKED_AT_DESK:
        return None
    desk = replace(desk, me=replace(desk.me, asked=None))
    return _send(desk, asked, heard, yes=word) if asked.what is Ask.TELL else _remove(desk, asked, yes=word)


def _send(desk: Desk, asked: Asked, heard: Heard, *, yes: bool) -> Done:
    if not yes:
        return say_to_coach(desk, words.NOT_SENT)
    wanted = {int(each) for each in asked.detail.split()}
    # Who has left in the meantime gets nothing; who said stop hears from nobody until they write.
    meant = [m for m in desk.group.members if m.id in wanted]
    silent = [m for m in meant if m.book.runner.stopped]
    waits = [m for m in meant if m not in silent and waits_for(m, asked.line, heard)]
    to = [m.book for m in meant if m not in waits and m not in silent]
    posts = tuple(Post(book, Say(words.pass_on(desk.name, asked.line))) for book in to)
    not_now = say_to_coach(desk, words.say_not_now([desk.label(m) for m in waits]), about=waits).says if waits else ()
    # With nobody left to write to there is nothing to say of letters.
    sent = tuple(desk.label(m) for m in silent) if posts or silent else None
    if not meant:
        return say_to_coach(desk, words.NOT_SENT)
    return Done(desk.me, not_now, posts=posts, sent=sent)


def waits_for(member: Member, line: str, heard: Heard) -> bool:
    """Whether a message about running waits: nobody who pauses, for whatever reason, is told to run."""
    said = squeezed(line)
    about_running = P.about_running.search(said) is not None or any(sign.isdigit() for sign in said)
    return about_running and sight(member, heard.now).state is State.PAUSING


def tell(desk: Desk, heard: Heard, rest: str) -> Done:
    """A message to all, to some, or to those under one word of the roster; shown before it goes out."""
    head, colon, text = rest.partition(":")
    everybody = _EVERYBODY.match(rest)
    state = " ".join(head.casefold().split()) if colon else ""
    if everybody is not None:
        text, to = rest[everybody.end() :].strip(), desk.group.members
    elif state in STATE_WORDS:
        text = text.strip()
        to = tuple(seen.member for seen in roster(desk.group, heard.now) if seen.state in STATE_WORDS[state])
        if text and not to:
            return say_to_coach(desk, words.say_nobody_is(state))
    elif colon:
        text, names = text.strip(), [name for name in re.split(r",|\band\b", head) if name.strip()]
        meant = [(name.strip(), find(desk.group.members, name)) for name in names]
        unclear = next(((name, found) for name, found in meant if len(found) != 1), None)
        if unclear is not None:
            return ask_which_runner(desk, *unclear)
        to = tuple({found[0].id: found[0] for _, found in meant}.values())
    else:
        text, to = "", ()
    if not text or not to:
        return say_to_coach(desk, words.EMPTY if text and everybody else words.NOTHING_TO_TELL)
    text = text[:LONGEST_MESSAGE]
    named = words.ask_to_send([desk.label(m) for m in to], text, state if state in STATE_WORDS else "")
    shown = words.ask_to_send_all(len(to), text, desk.group.title) if everybody else named
    return _ask(desk, heard, Ask.TELL, shown, _SEND, to, line=text)


def remove(desk: Desk, heard: Heard, rest: str) -> Done:
    """One runner taken out of the group, once the coach has seen who it is and said yes."""
    return for_one(
        desk,
        rest,
        lambda member: _ask(
            desk, heard, Ask.REMOVE, pages.ask_to_remove(desk.label(member)), _TAKE_OUT, (member,), line=""
        ),
    )


def _remove(desk: Desk, asked: Asked, *, yes: bool) -> Done:
    member = next((m for m in desk.group.members if str(m.id) == asked.detail), None)
    if not yes or member is None:
        return say_to_coach(desk, pages.NOTHING_DONE)
    text = pages.confirm_removed(desk.label(member), silent=cannot_be_told(member))
    post = Post(member.book, Say(words.say_taken_out(desk.name)), until_back=True)
    return replace(say_to_coach(desk, text, about=(member,)), posts=(post,), removed=member.id)


def _ask(
    desk: Desk, heard: Heard, what: Ask, text: str, choices: Choices, to: tuple[Member, ...], *, line: str
) -> Done:
    ids = tuple(member.id for member in to)
    found = ask(desk.me, heard, what, text, choices, detail=" ".join(map(str, ids)), line=line)
    return Done(found.book, tuple(replace(say, about=(*ids, *desk.group.titled)) for say in found.says))
