"""The Telegram voice: introduces itself, listens (by polling or by webhook), and speaks, until it is cancelled."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Awaitable, Callable, Coroutine
from datetime import datetime
from typing import TypeVar

from sqlalchemy import Connection

from nudgebot.app import commands
from nudgebot.channels.settings import Settings, Webhook
from nudgebot.channels.telegram.bot_api import BotApi, CallDone, NotFound, OptionalMethods
from nudgebot.channels.telegram.command_menus import CommandMenus
from nudgebot.channels.telegram.dispatcher import Take, attend
from nudgebot.channels.telegram.file_worker import FileWorker
from nudgebot.channels.telegram.outbox_worker import AT_A_TIME, Sender, event_or
from nudgebot.channels.telegram.pacer import Backoff
from nudgebot.channels.telegram.poller import Receiver, TokenRefusedError
from nudgebot.channels.telegram.threads import StoreThread
from nudgebot.channels.telegram.updates import KINDS, VOICE, BotName
from nudgebot.storage import outbox
from nudgebot.storage.database import shared
from nudgebot.storage.faults import StoreFault

T = TypeVar("T")
ServeWeb = Callable[[Callable[[object], Awaitable[int]]], Coroutine[None, None, None]]

LOOK_SECONDS = 0.25  # between two looks for lines that another worker stored
LINES_AT_A_TIME = AT_A_TIME  # acted on in one go: as many as the answers that can be taken up with them

_log = logging.getLogger(__name__)


async def talk(
    api: BotApi,
    store: StoreThread,
    sender: Sender,
    take: Take,
    clock: Callable[[], datetime],
    ready: Callable[[], None],
    settings: Settings,
    serve_web: ServeWeb,
    leads: Callable[[], bool] = lambda: True,
) -> None:
    """Listen and speak until cancelled; raises TokenRefusedError. `ready` is called once updates arrive.

    `serve_web` is the web listener, handed what keeps an update that a webhook brings. `leads` says whether this is the
    worker that polls and fetches files, among those on one database.
    """
    bot = await _introduce(api)
    optional = OptionalMethods(api)
    menus = CommandMenus(
        optional, lambda: _stored(store, lambda conn: commands.special_menus(conn, VOICE, settings.owner, clock()))
    )
    alone = not shared(store.engine)
    left_over = await _stored(store, lambda conn: outbox.recover(conn, VOICE, clock(), all_leases=alone))
    if left_over:
        _log.info("%d letters were on their way when the last run ended", left_over)
    stored = asyncio.Event()
    stored.set()  # lines may be left over, too
    files = FileWorker(api, store, sender, bot, take, clock, leads)
    receiver = Receiver(api, store, bot, optional, clock, polling=ready, stored=stored.set, leads=leads)
    async with asyncio.TaskGroup() as tasks:
        tasks.create_task(serve_web(receiver.keep))
        if settings.webhook is None:
            await optional.ask("deleteWebhook", lambda bot: bot.delete_webhook())  # with one set, nothing can be polled
            tasks.create_task(receiver.run())
        else:
            await _set_webhook(api, settings.webhook)
            ready()
        tasks.create_task(menus.run())
        tasks.create_task(_listen(bot, take, clock, stored, sender, menus.news, files.news))
        tasks.create_task(sender.run())
        tasks.create_task(files.run())


async def _set_webhook(api: BotApi, webhook: Webhook) -> None:
    """Tell the platform where to bring updates, for as long as it takes; raises TokenRefusedError."""
    backoff = Backoff()
    while True:
        came = await api.ask(
            lambda bot: bot.set_webhook(webhook.url, secret_token=webhook.secret, allowed_updates=KINDS)
        )
        if isinstance(came, CallDone):
            return
        if isinstance(came, NotFound) and isinstance(await api.ask(lambda bot: bot.get_me()), NotFound):
            raise TokenRefusedError
        pause = backoff.next()
        _log.warning("setWebhook: %s; again in %.1f s", came, pause)
        await asyncio.sleep(pause)


async def _stored(store: StoreThread, work: Callable[[Connection], T]) -> T:
    """Result of `work(conn)`, committed, tried until the store lets it: a full disk may have room later."""
    backoff = Backoff()
    while True:
        try:
            return await store.begin(work)
        except StoreFault as fault:
            pause = backoff.next()
            _log.error("not ready, again in %.1f s: %s", pause, fault)
            await asyncio.sleep(pause)


async def _introduce(api: BotApi) -> BotName:
    """Who the bot is, asked until there is an answer; raises TokenRefusedError."""
    backoff = Backoff()
    while True:
        came = await api.ask(lambda bot: bot.get_me())
        if isinstance(came, NotFound):
            raise TokenRefusedError
        if isinstance(came, CallDone) and isinstance(came.result, dict) and type(came.result.get("id")) is int:
            username = came.result.get("username")
            return BotName(came.result["id"], username if isinstance(username, str) else "")
        pause = backoff.next()
        _log.warning("getMe: %s; again in %.1f s", came, pause)
        await asyncio.sleep(pause)


async def _listen(
    bot: BotName,
    take: Take,
    clock: Callable[[], datetime],
    stored: asyncio.Event,
    sender: Sender,
    roles: Callable[[], None],
    files: Callable[[], None],
) -> None:
    """Act on stored lines whenever there are some, until cancelled; `roles` may change with each, `files` wait."""
    backoff = Backoff()
    alone = not shared(sender.engine)
    while True:
        await event_or(stored, None if alone else LOOK_SECONDS)
        stored.clear()
        try:
            handled, fetch = await sender.answering(lambda conn: attend(conn, bot, take, clock, LINES_AT_A_TIME))
        except StoreFault as fault:
            pause = backoff.next()
            _log.error("lines not acted on, again in %.1f s: %s", pause, fault)
            stored.set()
            await asyncio.sleep(pause)
            continue
        backoff.reset()
        if handled:
            roles()
        if fetch:
            files()
        if handled == LINES_AT_A_TIME or (handled and not alone):  # of a person's lines one came up, among several
            stored.set()
