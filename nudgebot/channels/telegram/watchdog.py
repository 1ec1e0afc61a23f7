"""Tells systemd that we are ready, and then that we are alive (sd_notify(3)); nothing if nobody asked for it."""

from __future__ import annotations

import os
import socket
from contextlib import suppress


def notify(state: str) -> None:
    """Sends `state` (READY=1, WATCHDOG=1, STOPPING=1) to the socket that NOTIFY_SOCKET names, if any."""
    where = os.environ.get("NOTIFY_SOCKET", "")
    if not where:
        return
    address = f"\0{where[1:]}" if where.startswith("@") else where
    with suppress(OSError), socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM | socket.SOCK_CLOEXEC) as to:
        to.setblocking(False)  # whoever asked may have stopped reading, and the bot must go on
        to.sendto(state.encode(), address)
