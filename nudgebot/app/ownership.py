"""Whoever hosts the bot: claiming it with a one-time code, handing it over, for how long things are kept.

Everything happens in the caller's transaction. The code itself is kept nowhere; `store.hosting` has its digest.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final

from sqlalchemy import Connection

from nudgebot.app import access, notifications
from nudgebot.app.access import Codes
from nudgebot.app.request import Request
from nudgebot.domain.dialogue.values import Answer, Heard, say
from nudgebot.domain.messages.group import host as words
from nudgebot.domain.model import parameters
from nudgebot.domain.model.parameters import Notice
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.speech import Say
from nudgebot.domain.overview.names import shown_name
from nudgebot.storage import book_repository, owners, pruning

CODE_LASTS: Final = timedelta(hours=1)  # whoever reads it later, in a log or over a shoulder, has nothing of it


def new_code(conn: Connection, now: datetime, codes: Codes) -> str:
    """A one-time code that makes whoever says it the host; one made before no longer works."""
    code = access.new_code(codes)
    owners.new_code(conn, code, now + CODE_LASTS)
    return code


def claim(conn: Connection, book: Book, heard: Heard, named: str) -> Answer:
    """Somebody said the code: the bot is theirs. Whoever the settings name stays, whatever the code."""
    if named:
        return say(book, words.NAMED_IN_THE_SETTINGS)
    before = owners.host(conn, book.runner.voice)
    owners.claim(conn, book.runner.voice, book.runner.id, heard.now)
    if before is not None and before[0] != book.runner.id:
        told = Say(words.say_handed_over(shown_name(book.runner)))
        notifications.send_letter(conn, before[0], told, f"{heard.key}/host", heard.now)
    return say(book, words.HOSTING)


def hand_over(request: Request, _rest: str) -> Answer:
    """A code for somebody else to host the bot in place of the writer."""
    if request.host.named:
        return say(request.book, words.NAMED_IN_THE_SETTINGS)
    code = new_code(request.conn, request.now, request.host.codes)
    return say(request.book, words.offer_code(code, request.incoming.door))


def set_retention(request: Request, rest: str) -> Answer:
    """For how long things are kept, shown or changed."""
    conn, book, voice = request.conn, request.book, request.book.runner.voice
    now = owners.keep_months(conn, voice)
    wanted = parameters.months_in(rest)
    if wanted is None:
        return say(book, words.show_retention(now))
    if wanted not in parameters.MONTHS_KEPT:
        return say(book, words.say_out_of_bounds(now))
    owners.set_keep_months(conn, voice, wanted)
    pruning.untold(conn, voice)
    return say(book, words.confirm_retention(wanted, now))


def give_notice(conn: Connection, voice: str, now: datetime) -> None:
    """Tells whoever has something that is to be deleted, thirty days before; also who said stop, since it is theirs."""
    months = owners.keep_months(conn, voice)
    since, on = parameters.kept_since(now, months), now + parameters.TOLD_BEFORE
    pruning.heard_again(conn)
    notices = (
        (Notice.SILENT, pruning.to_tell_of_silence(conn, voice, since), words.warn_silent_goes),
        (Notice.OLD, pruning.to_tell_of_old(conn, voice, since), words.warn_old_goes),
    )
    for kind, ids, text in notices:
        for runner_id in ids:
            book = book_repository.load(conn, runner_id)
            key = f"{kind}:{runner_id}:{now:%Y-%m-%d}"
            notifications.send_letter(conn, book, Say(text(book.today(on), months)), key, now, though_stopped=True)
            pruning.told(conn, runner_id, kind, now)
