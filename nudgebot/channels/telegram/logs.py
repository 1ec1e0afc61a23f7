"""What the host hears of `serve`: ids and outcomes in a log, no token and nothing that was written; that it lives."""

from __future__ import annotations

import logging
import os
import socket
import sys
import traceback
from asyncio import CancelledError
from contextlib import suppress
from types import TracebackType
from typing import TextIO

HIDDEN = "[token]"
# Their lower levels print addresses and texts, or (the scheduler) that a round took longer than usual, which
# `nudgebot check --running` says in our own words.
QUIET = {
    "apscheduler": logging.ERROR,
    "asyncio": logging.WARNING,
    "httpcore": logging.WARNING,
    "httpx": logging.WARNING,
    "matplotlib": logging.WARNING,
    "telegram": logging.WARNING,
    "uvicorn": logging.WARNING,
}


class _Formatter(logging.Formatter):
    """One line a record; of an exception the places and the type, since its text may quote a runner."""

    def __init__(self, secrets: tuple[str, ...]) -> None:
        super().__init__("%(asctime)s %(levelname)s %(name)s: %(message)s")
        self._secrets = secrets

    def format(self, record: logging.LogRecord) -> str:
        return hide(super().format(record), self._secrets)

    def formatException(  # noqa: N802 - the name is logging's
        self, ei: tuple[type[BaseException], BaseException, TracebackType | None] | tuple[None, None, None]
    ) -> str:
        return places(ei[1]) if ei[1] is not None else ""


def not_cut_off(record: logging.LogRecord) -> bool:
    """False for what the scheduler's executor calls an error when we stop: a job under way was cancelled, as asked.

    The next start runs it first thing. Every other error of a job is logged.
    """
    kind = record.exc_info[0] if record.exc_info else None
    cut_off = kind is not None and issubclass(kind, CancelledError)
    return not (cut_off and record.name.startswith("apscheduler.executors"))


def begin_log(token: str, stream: TextIO, level: int = logging.INFO, *, secret: str = "") -> None:
    """Log to `stream` from now on; nothing that is logged or falls through can show `token` or `secret`."""
    secrets = (*secrets_of(token), *filter(None, (secret,)))
    handler = logging.StreamHandler(stream)
    handler.setFormatter(_Formatter(secrets))
    handler.addFilter(not_cut_off)
    logging.basicConfig(handlers=[handler], level=level, force=True)
    logging.captureWarnings(capture=True)
    for name, at_least in QUIET.items():
        logging.getLogger(name).setLevel(at_least)
    logging.raiseExceptions = False  # a record that cannot be formatted would be printed raw

    def fall_through(_: type[BaseException], error: BaseException, __: TracebackType | None) -> None:
        print(hide(places(error), secrets), file=stream)

    sys.excepthook = fall_through


def secrets_of(token: str) -> tuple[str, ...]:
    """What must not be seen of `token`: the whole, and the part after the colon however it is quoted."""
    return (token, token.partition(":")[2])


def hide(text: str, secrets: tuple[str, ...]) -> str:
    """`text` without the secrets."""
    for secret in secrets:
        text = text.replace(secret, HIDDEN)
    return text


def places(error: BaseException) -> str:
    """Where `error`, its parts and its causes came from, and their types; not what they say."""
    told: list[str] = []
    cause: BaseException | None = error
    while cause is not None:
        told.append("".join(traceback.format_tb(cause.__traceback__)) + type(cause).__name__)
        if isinstance(cause, BaseExceptionGroup):
            told += [places(each) for each in cause.exceptions]
        cause = cause.__cause__ or (None if cause.__suppress_context__ else cause.__context__)
    return "\ncaused by\n".join(told)


def place(error: BaseException) -> str:
    """The type of `error` and its innermost line, in one line."""
    frames = traceback.extract_tb(error.__traceback__)
    if not frames:
        return type(error).__name__
    return f"{type(error).__name__} at {frames[-1].filename.rpartition('/')[2]}:{frames[-1].lineno}"


def notify(state: str) -> None:
    """Sends `state` (READY=1, WATCHDOG=1, STOPPING=1) to the socket that NOTIFY_SOCKET names, if any."""
    where = os.environ.get("NOTIFY_SOCKET", "")
    if not where:
        return
    address = f"\0{where[1:]}" if where.startswith("@") else where
    with suppress(OSError), socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM | socket.SOCK_CLOEXEC) as to:
        to.setblocking(False)  # whoever asked may have stopped reading, and the bot must go on
        to.sendto(state.encode(), address)
