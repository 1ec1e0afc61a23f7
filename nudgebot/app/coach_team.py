"""Who coaches a group: a second coach, a stand-in, a successor; who no longer does; when the digest comes.

Everything happens in the caller's transaction; the caller has asked whether the writer may.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Final

from nudgebot.app import coaching, notifications
from nudgebot.app.request import Request
from nudgebot.domain.dialogue.coach import coach_letters
from nudgebot.domain.dialogue.values import Answer, ask, say, with_intake
from nudgebot.domain.messages.group import group as words
from nudgebot.domain.messages.group import team as pages
from nudgebot.domain.messages.health.complaints import YES_NO
from nudgebot.domain.model.questions import Ask
from nudgebot.domain.model.runner import Book, Runner
from nudgebot.domain.model.speech import Say
from nudgebot.domain.overview import group as sight
from nudgebot.domain.overview.group import Coach
from nudgebot.domain.overview.names import find_meant, labels, shown_name
from nudgebot.storage import book_repository, coach_repository, group_repository, invitation_repository, outbox
from nudgebot.storage.invitation_repository import Invitation, Opens
from nudgebot.storage.letter import LetterState

OWN_GROUP: Final = frozenset({"own", "mine", "my own"})
ARRIVED: Final = frozenset({LetterState.SENT, LetterState.UNKNOWN})
ON_ITS_WAY: Final = frozenset({LetterState.WAITING, LetterState.SENDING})


def coaches_of(request: Request, number: int) -> tuple[Runner, ...]:
    """Who coaches a group now; who leads it first."""
    team = coach_repository.of_group(request.conn, number)
    return tuple(each.runner for each in team if each.works(request.now))


def join_group(request: Request, invitation: Invitation) -> Answer:
    """Somebody coaches a group from now on, or for some days; its runners and coaches are told."""
    conn, book, number = request.conn, request.book, invitation.group
    coaching.end_stand_ins(conn, request.now)
    current, own = coach_repository.groups_of(conn, book.runner.id), coach_repository.led_by(conn, book.runner.id)
    leads = invitation.opens is Opens.SUCCESSOR
    if own == number or (number in current and not leads):
        return say(book, words.COACHES_ALREADY)
    if own and leads:
        return say(book, words.LEADS_ALREADY)
    invitation_repository.use(conn, invitation)
    former = coach_repository.lead_of(conn, number)
    span = _span(invitation)
    book = _on_their_clock(book, book_repository.load(conn, former.id))
    digest_at = sight.next_digest(book, request.now)
    begins, ends = span or (None, None)
    coach_repository.appoint(
        conn, book.runner.id, number, request.now, digest_at, leads=leads, begins=begins, ends=ends
    )
    runners = len(group_repository.member_ids(conn, number))
    name, lead = shown_name(book.runner), shown_name(former)
    zone = book_repository.load(conn, former.id).profile.tz  # a stand-in's days are those of who asked for them
    text = (
        words.say_leads_now(name, second=number in current) if leads else pages.say_looks_after(name, lead, span, zone)
    )
    to_coaches = pages.say_leads(name) if leads else pages.say_also_coaches(name, span, zone)
    coaching.tell_group(conn, number, text, to_coaches, request.heard, about=book.runner)
    if leads:
        told = Say(words.say_handed_on(name), about=(book.runner.id,))
        _tell(request, former, told, "former")
        return say(book, pages.tell_leads(runners, second=number in current))
    more = (Say(pages.own_group_first(lead), about=(former.id,)),) if own else ()
    return Answer(book, (Say(pages.welcome_coach(lead, runners, span, zone), about=(former.id,)), *more))


def _on_their_clock(book: Book, lead: Book) -> Book:
    """The book of somebody who has told no clock yet, on the clock of who leads the group; /zone changes it."""
    if book.intake.zone is not None or lead.intake.zone is None:
        return book
    return with_intake(book, replace(book.intake, zone=lead.intake.zone))


def _groups(request: Request) -> dict[int, Runner]:
    """The groups that the writer coaches now, by number, with who leads each; the writer's own first."""
    conn, mine, now = request.conn, request.book.runner.id, request.now
    numbers = coach_repository.groups_of(conn, mine)
    return {n: coach_repository.lead_of(conn, n) for n in numbers if coaching.coaches_now(conn, mine, n, now)}


def choose(request: Request, rest: str) -> Answer:
    """Which of several groups is at the writer's desk, shown or changed."""
    conn, book = request.conn, request.book
    groups, me = _groups(request), book.runner.id
    if len(groups) < 2:
        return say(book, pages.ONE_GROUP)
    own = rest.casefold() in OWN_GROUP
    found = () if own or not rest else find_meant([lead for lead in groups.values() if lead.id != me], rest)
    number = next((n for n, lead in groups.items() if (lead.id == me if own else lead in found[:1])), 0)
    titles = coaching.titles(conn, me)
    about = tuple(lead.id for lead in groups.values())
    if len(found) > 1 or not number:
        text = pages.list_groups([titles[each] for each in groups], list(groups).index(request.actor.coaches))
        return Answer(book, (Say(text, about=about),))
    coach_repository.choose(conn, me, number, request.now)
    text = pages.say_at_desk(titles[number], len(group_repository.member_ids(conn, number)))
    # What was asked about the other group is asked no more.
    asked = None if book.asked is not None and book.asked.what in coach_letters.ASKED_AT_DESK else book.asked
    return Answer(replace(book, asked=asked), (Say(text, about=about),))


def not_yet(request: Request) -> Answer | None:
    """The word to a stand-in whose days have not come; None for everybody else."""
    conn, me = request.conn, request.book.runner.id
    for number in coach_repository.groups_of(conn, me):
        coach = next(each for each in coach_repository.of_group(conn, number) if each.runner.id == me)
        span, lead = _span(coach), coach_repository.lead_of(conn, number)
        if span is not None and request.now < span[0]:
            text = pages.say_not_yet(shown_name(lead), span, book_repository.load(conn, lead.id).profile.tz)
            return Answer(request.book, (Say(text, about=(lead.id,)),))
    return None


def list_coaches(request: Request, _rest: str) -> Answer:
    """Who coaches the writer's group; for whoever hosts the bot, who leads each."""
    conn, who = request.conn, request.actor
    if who.coaches:
        team = [
            each
            for each in coach_repository.of_group(conn, who.coaches)
            if each.ends is None or request.now < each.ends
        ]
        names = labels([each.runner for each in team])
        told = [(names[each.runner.id], each.leads, _span(each)) for each in team]
        text = pages.list_coaches(told, request.book.profile.tz)
        return Answer(request.book, (Say(text, about=tuple(names)),))
    leads = _leads(request)
    if not leads:
        return say(request.book, pages.NO_COACHES)
    names = labels(list(leads))
    text = pages.list_all_coaches([(names[lead.id], many) for lead, many in leads.items()])
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
        found = find_meant(_may_dismiss(request), rest) if rest else ()
    if len(found) != 1:
        return say(book, pages.NOBODY_TO_DISMISS)
    coach = found[0]
    number = _group_of(request, coach)
    leads = coach_repository.led_by(conn, coach.id) == number
    follows = coaching.successor_of(conn, number)
    text = pages.ask_to_dismiss(
        shown_name(coach),
        len(group_repository.member_ids(conn, number)) if leads else 0,
        shown_name(follows) if follows is not None else "",
    )
    asked = ask(book, request.heard, Ask.DISMISS, text, YES_NO, detail=f"{coach.id} {number}", line="")
    about = (coach.id, *((follows.id,) if follows is not None else ()))
    return replace(asked, says=tuple(replace(each, about=about) for each in asked.says))


def _group_of(request: Request, coach: Runner) -> int:
    """The group that `coach` is taken off: the writer's, if they look after it, else the one that they lead."""
    here, theirs = request.actor.coaches, coach_repository.groups_of(request.conn, coach.id)
    return here if here in theirs else coach_repository.led_by(request.conn, coach.id)


def _may_dismiss(request: Request) -> tuple[Runner, ...]:
    """Whom the writer may take off beside themselves."""
    who = request.actor
    team = coach_repository.of_group(request.conn, who.coaches) if who.leads else ()
    others = {each.runner.id: each.runner for each in team if not each.leads}
    if who.owner:
        others |= {lead.id: lead for lead in _leads(request)}
    return tuple(others.values())


def answer_dismissal(request: Request) -> Answer | None:
    """The word on whether a coach is taken off; None if the line is about something else."""
    asked = request.book.asked
    word = coach_letters.read_agreement(asked, request.heard)
    if asked is None or asked.what is not Ask.DISMISS or word is None:
        return None
    book, conn = replace(request.book, asked=None), request.conn
    whom, _, number = asked.detail.partition(" ")
    own = whom == str(book.runner.id) and bool(request.actor.coaches)
    allowed = (book.runner,) if own else _may_dismiss(request)
    coach = next((each for each in allowed if str(each.id) == whom), None)
    if not word or coach is None or number != str(_group_of(request, coach)):
        return say(book, pages.DISMISS_KEPT)
    coaching.step_down(conn, book_repository.load(conn, coach.id), int(number), request.heard)
    if own:
        return say(book, pages.YOU_COACH_NO_MORE)
    _tell(request, coach, Say(pages.WAS_DISMISSED), "dismissed")
    return Answer(book, (Say(pages.confirm_dismissed(shown_name(coach)), about=(coach.id,)),))


def show_delivered(request: Request, _rest: str) -> Answer:
    """What became of the writer's last message, runner by runner."""
    conn, book = request.conn, request.book
    letters = outbox.last_told(conn, book.runner.id)
    groups = [group_repository.load(conn, number, book.runner.id) for number in _groups(request)]
    numbers = {member.book.runner.user: member.id for group in groups for member in group.members}
    names = {number: label for group in groups for number, label in group.labels.items()}
    states = [(names[numbers[user]], state) for user, state in letters if user in numbers]
    if not states:
        return say(book, words.NOTHING_DELIVERED)
    arrived = [name for name, state in states if state in ARRIVED]
    waits = [name for name, state in states if state in ON_ITS_WAY]
    lost = [name for name, state in states if state not in ARRIVED | ON_ITS_WAY]
    about = tuple(numbers.values())
    return Answer(book, (Say(words.list_delivered(arrived, waits, lost), about=about),))


def _span(of: Coach | Invitation) -> tuple[datetime, datetime] | None:
    return (of.begins, of.ends) if of.begins is not None and of.ends is not None else None


def _tell(request: Request, to: Runner, text: Say, place: str) -> None:
    key = f"{request.heard.key}/{place}"
    notifications.send_letter(request.conn, to.id, text, key, request.now, until_back=True)
