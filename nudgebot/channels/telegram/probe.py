"""What `nudgebot check` asks the platform: who the bot is, whether a webhook is set, and what time it is there."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime

import httpx

from nudgebot.channels.telegram.bot_api import PLATFORM, BotApi, CallDone, CallOutcome
from nudgebot.channels.telegram.transport import behind_proxy

ANSWER_SECONDS = 10.0


@dataclass(frozen=True, slots=True)
class Probe:
    """What came of the questions; `its_time` is the `Date` of an answer (RFC 9110, 6.6.1), None if it has none."""

    me: CallOutcome
    webhook: CallOutcome
    its_time: datetime | None


async def probe(token: str, base: str) -> Probe:
    """Asks the server at `base` ("" for the platform's own)."""
    async with BotApi(token, base) as api:
        me = await api.ask(lambda bot: bot.get_me())
        webhook = await api.ask(lambda bot: bot.get_webhook_info())
        its_time = await _time_of(base or PLATFORM) if isinstance(me, CallDone) else None
    return Probe(me, webhook, its_time)


async def _time_of(root: str) -> datetime | None:
    try:
        async with httpx.AsyncClient(trust_env=behind_proxy(root), timeout=ANSWER_SECONDS) as client:
            answer = await client.get(root)
        told = parsedate_to_datetime(answer.headers["Date"])
    except (httpx.HTTPError, KeyError, ValueError):
        return None
    return told if told.tzinfo else told.replace(tzinfo=UTC)
