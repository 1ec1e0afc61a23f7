"""The commands behind the menu key: by scope, as the table of commands has them, and kept true as roles change."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Iterable, Mapping
from typing import Final

from telegram import (
    BotCommandScope,
    BotCommandScopeAllChatAdministrators,
    BotCommandScopeAllGroupChats,
    BotCommandScopeAllPrivateChats,
    BotCommandScopeChat,
)

from nudgebot.app.commands import menu
from nudgebot.app.request import Menu
from nudgebot.channels.telegram.bot_api import OptionalMethods

# The narrowest scope that fits a chat is the one that the platform shows (BotCommandScope, Bot API 10.1).
SCOPES: Final = (
    (Menu.PRIVATE, BotCommandScopeAllPrivateChats()),
    (Menu.GROUP, BotCommandScopeAllGroupChats()),
    (Menu.ADMINISTRATOR, BotCommandScopeAllChatAdministrators()),
)
LOOK_SECONDS: Final = 1.0  # between two looks for changed roles: each is for those of everybody in a group
EVERYBODY: Final = frozenset({Menu.PRIVATE})

Roles = Mapping[str, frozenset[Menu]]  # by the platform's number of a person, whose private chat has the same number


class CommandMenus:
    """Shows each chat its menu: everybody's at the start, a coach's and the owner's as they become it or cease to be.

    Menus are a convenience: a call that fails costs nothing but the menu, and is not repeated before the next start.
    """

    def __init__(self, optional: OptionalMethods, look: Callable[[], Awaitable[Roles]]) -> None:
        self._optional = optional
        self._look = look  # for who has more than everybody
        self._shown: dict[str, frozenset[Menu]] = {}
        self._news = asyncio.Event()
        self._news.set()

    def news(self) -> None:
        """Somebody's role may have changed."""
        self._news.set()

    async def run(self) -> None:
        """Until cancelled."""
        for kind, scope in SCOPES:
            await self._show((kind,), scope)
        while True:
            await self._news.wait()
            self._news.clear()
            wanted = dict.fromkeys(self._shown, EVERYBODY) | dict(await self._look())
            for user, menus in wanted.items():
                if self._shown.get(user, EVERYBODY) != menus:
                    self._shown[user] = menus
                    await self._show(menus, BotCommandScopeChat(int(user)))
            await asyncio.sleep(LOOK_SECONDS)

    async def _show(self, menus: Iterable[Menu], scope: BotCommandScope) -> None:
        await self._optional.ask("setMyCommands", lambda bot: bot.set_my_commands(menu(menus), scope=scope))
