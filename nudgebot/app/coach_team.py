"""Who coaches a group: a second coach, a stand-in, a successor; who no longer does; when the digest comes.

Everything happens in the caller's transaction; the caller has asked whether the writer may.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime, time
from typing import Final

from sqlalchemy import Connection

from nudgebot.app import coaching, notifications
from nudgebot.app.request import Request
from nudgebot.domain.dialogue import coach_letters
from nudgebot.domain.dialogue.values import Answer, ask, say
from nudgebot.domain.messages import group as words
from nudgebot.domain.messages import team as pages
from nudgebot.domain.model.actions import Agreed
from nudgebot.domain.model.runner import Ask, Runner
from nudgebot.domain.model.speech import Say
from nudgebot.domain.overview import group as sight
from nudgebot.domain.overview.group import Coach, DigestTime
from nudgebot.domain.overview.names import labels, meant, shown_name
from nudgebot.domain.profile.weekday_words import WEEKDAYS
from nudgebot.storage import book_repository, coach_repository, group_repository, outbox
from nudgebot.storage.group_repository import Invitation, Opens

DIGEST: Final = re.compile(r"(?P<day>[a-z]{2,9})(?:\s+(?:at\s+)?(?P<hour>[01]?\d|2[0-3])[:.h](?P<minute>[0-5]\d))?")
ARRIVED: Final = frozenset({outbox.LetterState.SENT, outbox.LetterState.UNKNOWN})
ON_ITS_WAY: Final = frozenset({outbox.LetterState.WAITING, outbox.LetterState.SENDING})


def at_work(request: Request, number: int) -> tuple[Runner, ...]:
    """Who coaches a group now; who leads it first."""
    team = coach_repository.of_group(request.conn, number)
    return tuple(each.runner for each in team if each.works(request.now))


def joins(request: Request, invitation: Invitation) -> Answer:
    """Somebody coaches a group from now on, or for some days; its runners and coaches are told."""
    conn, book, number = request.conn, request.book, invitation.group
    current = coach_repository.coaches_in(conn, book.runner.id)
    leads_already = request.actor.leads
    if current and (current != number or leads_already or invitation.opens is not Opens.SUCCESSOR):
        return say(book, words.COACHES_ALREADY)
    group_repository.use(conn, invitation)
    former = coach_repository.lead_of(conn, number)
    leads = invitation.opens is Opens.SUCCESSOR
    span = _span(invitation)
    digest_at = sight.next_digest(book, request.now)
    begins, ends = span or (None, None)
    coach_repository.appoint(
        conn, book.runner.id, number, request.now, digest_at, leads=leads, begins=begins, ends=ends
    )
    runners = len(group_repository.member_ids(conn, number))
    name, lead = shown_name(book.runner), shown_name(former)
    zone = book_repository.load(conn, former.id).profile.tz  # a stand-in's days are those of who asked for them
    text = words.leads_now(name) if leads else pages.looks_after(name, lead, span, zone)
    coaching.tell_group(conn, number, text, request.heard, about=book.runner)
    if leads:
        told = Say(words.handed_on(name), about=(book.runner.id,))
        _tell(request, former, told, "former")
        return say(book, pages.leads_here(runners))
    return Answer(book, (Say(pages.joined_team(lead, runners, span, zone), about=(former.id,)),))


def shown(request: Request, _rest: str) -> Answer:
    """Who coaches the writer's group; for whoever hosts the bot, who leads each."""
    conn, who = request.conn, request.actor
    if who.coaches:
        team = [each for each in coach_repository.of_group(conn, who.coaches) if not _over(each, request.now)]
        names = labels([each.runner for each in team])
        told = [(names[each.runner.id], each.leads, _span(each)) for each in team]
        text = pages.coaches(told, request.book.profile.tz)
        return Answer(request.book, (Say(text, about=tuple(names)),))
    leads = _leads(request)
    if not leads:
        return say(request.book, pages.NO_COACHES)
    names = labels(list(leads))
    text = pages.all_coaches([(names[lead.id], many) for lead, many in leads.items()])
    return Answer(request.book, (Say(text, about=tuple(names)),))


def _leads(request: Request) -> dict[Runner, int]:
    """Who leads a group of this voice, and how many runners it has."""
    conn = request.conn
    numbers = coach_repository.groups(conn, request.book.runner.voice)
    return {coach_repository.lead_of(conn, n): len(group_repository.member_ids(conn, n)) for n in numbers}


def dismiss(request: Request, rest: str) -> Answer:
    """A coach taken off, after a question: by who leads the group, by who hosts the bot; anybody can take off "me"."""
    conn, book, who = request.conn, request.book, request.actor
    if rest.casefold() == "me" and who.coaches:
        found: tuple[Runner, ...] = (book.runner,)
    else:
        found = meant(_may_dismiss(request), rest) if rest else ()
    if len(found) != 1:
        return say(book, pages.NOBODY_TO_DISMISS)
    coach = found[0]
    number = coach_repository.coaches_in(conn, coach.id)
    leads = coach_repository.lead_of(conn, number).id == coach.id
    follows = next((each for each in coach_repository.of_group(conn, number) if not each.leads and not each.ends), None)
    text = pages.dismiss_ask(
        shown_name(coach),
        len(group_repository.member_ids(conn, number)) if leads else 0,
        shown_name(follows.runner) if follows is not None else "",
    )
    choices = (("Yes", Agreed(True)), ("No", Agreed(False)))
    asked = ask(book, request.heard, Ask.DISMISS, text, choices, detail=str(coach.id), line="")
    about = (coach.id, *((follows.runner.id,) if follows is not None else ()))
    return replace(asked, says=tuple(replace(each, about=about) for each in asked.says))


def _may_dismiss(request: Request) -> tuple[Runner, ...]:
    """Whom the writer may take off beside themselves."""
    who = request.actor
    team = coach_repository.of_group(request.conn, who.coaches) if who.leads else ()
    others = {each.runner.id: each.runner for each in team if not each.leads}
    if who.owner:
        others |= {lead.id: lead for lead in _leads(request)}
    return tuple(others.values())


def dismissed(request: Request) -> Answer | None:
    """The word on whether a coach is taken off; None where the line is about something else."""
    asked = request.book.asked
    word = coach_letters.agreed(asked, request.heard)
    if asked is None or asked.what is not Ask.DISMISS or word is None:
        return None
    book, conn = replace(request.book, asked=None), request.conn
    own = asked.detail == str(book.runner.id) and bool(request.actor.coaches)
    allowed = (book.runner,) if own else _may_dismiss(request)
    coach = next((each for each in allowed if str(each.id) == asked.detail), None)
    if not word or coach is None:
        return say(book, pages.DISMISS_KEPT)
    coaching.step_down(conn, book_repository.load(conn, coach.id), request.heard)
    if own:
        return say(book, pages.YOU_COACH_NO_MORE)
    _tell(request, coach, Say(pages.was_dismissed()), "dismissed")
    return Answer(book, (Say(pages.dismissed(shown_name(coach)), about=(coach.id,)),))


def set_digest(request: Request, rest: str) -> Answer:
    """When the writer's week at a glance comes, shown or changed."""
    conn, book, now = request.conn, request.book, request.now
    coach = book.runner.id
    wanted = coach_repository.digest_time(conn, coach)
    if rest:
        read = _digest_in(rest, wanted)
        if read is None:
            return say(book, pages.DIGEST_WANTED)
        wanted = read
        coach_repository.set_digest(conn, coach, sight.next_digest(book, now, wanted), wanted)
    return say(book, pages.digest(wanted, coach_repository.digest_at(conn, coach), book.profile.tz))


def _digest_in(text: str, now: DigestTime) -> DigestTime | None:
    """A weekday, with a time or at the same as now; None where it is neither that nor "off"."""
    plain = " ".join(text.casefold().split())
    if plain in {"off", "never", "no", "none"}:
        return DigestTime(None, now.at)
    found = DIGEST.fullmatch(plain)
    day = next((n for n, name in enumerate(WEEKDAYS) if found and found["day"].startswith(name)), None)
    if found is None or day is None:
        return None
    return DigestTime(day, time(int(found["hour"]), int(found["minute"])) if found["hour"] else now.at)


def delivered(request: Request, _rest: str) -> Answer:
    """What became of the writer's last message, runner by runner."""
    conn, book = request.conn, request.book
    letters = outbox.last_told(conn, book.runner.id)
    group = group_repository.load(conn, request.actor.coaches, book.runner.id)
    numbers = {member.book.runner.user: member.id for member in group.members}
    states = [(group.labels[numbers[user]], state) for user, state in letters if user in numbers]
    if not states:
        return say(book, words.NOTHING_DELIVERED)
    arrived = [name for name, state in states if state in ARRIVED]
    waits = [name for name, state in states if state in ON_ITS_WAY]
    lost = [name for name, state in states if state not in ARRIVED | ON_ITS_WAY]
    about = tuple(numbers.values())
    return Answer(book, (Say(words.delivered(arrived, waits, lost), about=about),))


def _over(coach: Coach, now: datetime) -> bool:
    return coach.ends is not None and coach.ends <= now


def _span(of: Coach | Invitation) -> tuple[datetime, datetime] | None:
    return (of.begins, of.ends) if of.begins is not None and of.ends is not None else None


def _tell(request: Request, to: Runner, text: Say, place: str) -> None:
    conn: Connection = request.conn
    letter_to = book_repository.load(conn, to.id)
    notifications.send_letter(conn, letter_to, text, f"{request.heard.key}/{place}", request.now, until_back=True)
