"""The web listener, off unless NUDGEBOT_LISTEN is set: the webhook, `/healthz`, `/metrics`, runners' calendars.

Starlette routes, uvicorn serves, in the event loop of the bot: weighed against aiohttp (a second HTTP client in the
house), FastAPI (a validator of bodies that are stored raw) and the framework's own webhook (it answers 200 before
anything is on the disk). TLS is left to a reverse proxy.
"""

from __future__ import annotations

import asyncio
import hmac
import json
import logging
import socket
from collections.abc import Awaitable, Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import timedelta
from urllib.parse import urlsplit

import uvicorn
from prometheus_client.openmetrics.exposition import CONTENT_TYPE_LATEST, generate_latest
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from nudgebot.app import calendar as feeds
from nudgebot.app import health
from nudgebot.app.health import Health
from nudgebot.channels.settings import Webhook
from nudgebot.storage.faults import StoreFault

SECRET_HEADER = "X-Telegram-Bot-Api-Secret-Token"  # noqa: S105 - the name of the header, Bot API 10.1, setWebhook
LARGEST_UPDATE = 1 << 20  # bytes; an update holds one message of at most 4,096 characters and what surrounds it
GOODBYE_SECONDS = 2

Keep = Callable[[object], Awaitable[int]]
Examine = Callable[[], Awaitable[Health]]
Calendar = Callable[[str], Awaitable[bytes | None]]

_log = logging.getLogger(__name__)


def application(
    examine: Examine, webhook: Webhook | None, keep: Keep | None, calendar: Calendar | None = None
) -> Starlette:
    """The pages; the webhook only where `webhook` and `keep`, which stores updates, are given.

    `calendar` gives the calendar that a token reads; without it there are none.
    """

    async def healthz(_: Request) -> Response:
        try:
            found = await examine()
        except StoreFault as fault:
            return JSONResponse({"ok": False, "faults": [str(fault)]}, 503)
        faults = found.faults()
        ages = {
            "last_round_age_s": _seconds(found.last_round),
            "inbox_age_s": _seconds(found.oldest_line),
            "outbox_age_s": _seconds(found.oldest_letter),
        }
        return JSONResponse({"ok": not faults, "faults": faults, **ages}, 503 if faults else 200)

    async def show_metrics(_: Request) -> Response:
        with suppress(StoreFault):  # the counts are there all the same
            found = await examine()
            health.LAST_ROUND.set(_seconds(found.last_round))
            health.INBOX_AGE.set(_seconds(found.oldest_line))
            health.OUTBOX_AGE.set(_seconds(found.oldest_letter))
        page: bytes = generate_latest(health.REGISTRY)  # type: ignore[no-untyped-call]
        return Response(page, media_type=CONTENT_TYPE_LATEST)

    routes = [Route("/healthz", healthz), Route("/metrics", show_metrics)]
    if webhook is not None and keep is not None:
        path = urlsplit(webhook.url).path or "/"
        routes.append(Route(path, _hook(webhook, keep), methods=["POST"]))
    if calendar is not None:
        routes.append(Route(f"{feeds.PATH}{{token}}{feeds.ENDING}", _feed(calendar)))
    return Starlette(routes=routes)


def _feed(calendar: Calendar) -> Callable[[Request], Awaitable[Response]]:
    async def show(request: Request) -> Response:
        """The calendar of a token; 404 for one that is none, or is closed: nobody learns which."""
        try:
            content = await calendar(request.path_params["token"])
        except StoreFault as fault:
            _log.error("calendar: %s", fault)
            return Response(status_code=503)
        if content is None:
            return Response(status_code=404)
        return Response(content, media_type="text/calendar", headers={"Cache-Control": "private, no-store"})

    return show


def _hook(webhook: Webhook, keep: Keep) -> Callable[[Request], Awaitable[Response]]:
    secret = webhook.secret.encode()

    async def take(request: Request) -> Response:
        """200 once the update is on the disk; the platform repeats what was answered otherwise."""
        if not hmac.compare_digest(request.headers.get(SECRET_HEADER, "").encode(), secret):
            _log.warning("webhook: a call without the secret")
            return Response(status_code=403)
        body = bytearray()
        async for piece in request.stream():
            body += piece
            if len(body) > LARGEST_UPDATE:
                return Response(status_code=413)
        try:
            update = json.loads(body)
        except (ValueError, RecursionError):
            return Response(status_code=400)
        try:
            await keep([update])
        except StoreFault as fault:
            _log.error("webhook: update not stored, the platform will bring it again: %s", fault)
            return Response(status_code=503)
        return Response()

    return take


class _Server(uvicorn.Server):
    """Signals are the bot's own affair."""

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        """Leaves them alone."""
        yield


async def listen(app: Starlette, listening: socket.socket) -> None:
    """Serves `app` on the socket until cancelled; then requests under way get GOODBYE_SECONDS to end."""
    server = _Server(
        uvicorn.Config(
            app,
            log_config=None,
            access_log=False,
            lifespan="off",
            ws="none",
            server_header=False,
            timeout_graceful_shutdown=GOODBYE_SECONDS,
        )
    )
    serving = asyncio.create_task(server.serve([listening]))
    try:
        await asyncio.shield(serving)
    except asyncio.CancelledError:
        server.should_exit = True
        await serving
        raise


def _seconds(age: timedelta | None) -> float:
    return 0.0 if age is None else round(age.total_seconds(), 1)
