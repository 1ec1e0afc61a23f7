"""Fetches a calendar from an address that a runner gave: https, public hosts, little and soon, or not at all.

The host's name is resolved here, every address it has must be a public one, and the connection goes to the very one
that was checked, with the name kept for its certificate: a name that answers differently the second time leads nowhere
else. Each redirect is checked alike.
"""

from __future__ import annotations

import ipaddress
import re
import socket
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from io import BytesIO
from typing import Final
from urllib.parse import urljoin, urlsplit

import httpx

from nudgebot.app.incoming_files import read_file
from nudgebot.domain.calendar.busy import LARGEST
from nudgebot.domain.model.logbook import BusyTimes, FileFault

SECONDS: Final = 5.0  # for each step of a request
LONGEST: Final = 20.0  # s, all in all
REDIRECTS: Final = 3
PORT: Final = 443
TRANSLATED: Final = ipaddress.IPv6Network("64:ff9b::/96")  # IPv4 by its last 32 bits: RFC 6052, 2.1

Resolve = Callable[[str], Iterable[str]]


def resolve(host: str) -> list[str]:
    """The addresses of a host; raises OSError where it has none."""
    return [str(found[4][0]) for found in socket.getaddrinfo(host, PORT, proto=socket.IPPROTO_TCP)]


def read_address(
    address: str, now: datetime, fetch: Callable[[str], bytes | FileFault] | None = None
) -> FileFault | BusyTimes:
    """The busy times of the calendar at an address, or why none are taken."""
    content = (fetch or fetched)(address)
    if isinstance(content, FileFault):
        return content
    found = read_file(BytesIO(content), now)
    return found if isinstance(found, BusyTimes | FileFault) else FileFault.NOT_READABLE


def fetched(
    address: str,
    resolving: Resolve = resolve,
    transport: httpx.BaseTransport | None = None,
    clock: Callable[[], float] = time.monotonic,
) -> bytes | FileFault:
    """What is at an address, at most LARGEST bytes; `webcal:` and `webcals:` are read as https."""
    url = re.sub(r"^webcals?:", "https:", address, flags=re.IGNORECASE)
    until = clock() + LONGEST
    with httpx.Client(transport=transport, timeout=SECONDS, trust_env=False, follow_redirects=False) as client:
        try:
            for _ in range(REDIRECTS + 1):
                came = _once(client, url, resolving, lambda: clock() > until)
                if not isinstance(came, _Elsewhere):
                    return came
                url = urljoin(url, came.address)
        except (httpx.HTTPError, httpx.InvalidURL, OSError, UnicodeError, ValueError):
            return FileFault.NOT_REACHED
    return FileFault.NOT_REACHED


@dataclass(frozen=True, slots=True)
class _Elsewhere:
    """Where an answer sends us instead."""

    address: str


def _once(
    client: httpx.Client, url: str, resolving: Resolve, late: Callable[[], bool]
) -> bytes | _Elsewhere | FileFault:
    """One request: the content, where it sends us instead, or a fault."""
    parts = urlsplit(url)
    host = parts.hostname or ""
    if (
        parts.scheme.lower() != "https"
        or not host
        or parts.username
        or parts.password
        or parts.port not in {None, PORT}
    ):
        return FileFault.NOT_ALLOWED
    found = list(resolving(host.encode("idna").decode() if not host.isascii() else host))
    if not found or not all(_is_public(each) for each in found):
        return FileFault.NOT_ALLOWED
    to = f"[{found[0]}]" if ":" in found[0] else found[0]
    target = f"https://{to}{parts.path or '/'}" + (f"?{parts.query}" if parts.query else "")
    headers = {"Host": host, "Accept": "text/calendar", "Accept-Encoding": "identity", "User-Agent": "nudgebot"}
    with client.stream("GET", target, headers=headers, extensions={"sni_hostname": host}) as answer:
        if answer.is_redirect:
            return _Elsewhere(answer.headers["Location"])
        if answer.status_code != 200:
            return FileFault.NOT_REACHED
        content = bytearray()
        for piece in answer.iter_raw():
            content += piece
            if len(content) > LARGEST:
                return FileFault.TOO_LARGE
            if late():
                return FileFault.NOT_REACHED
        return bytes(content)


def _is_public(address: str) -> bool:
    """Whether an address is of the public internet (IANA special-purpose registries, as `ipaddress` has them)."""
    found = ipaddress.ip_address(address.partition("%")[0])
    if isinstance(found, ipaddress.IPv6Address):
        inner = found.ipv4_mapped or found.sixtofour
        if found in TRANSLATED:
            inner = ipaddress.IPv4Address(int(found) & 0xFFFFFFFF)
        if inner is not None:
            return inner.is_global and not inner.is_multicast
    return found.is_global and not found.is_multicast
