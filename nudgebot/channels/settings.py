"""The settings of `nudgebot serve`: the environment as one frozen value, or every fault at once."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path
from typing import TypeVar
from urllib.parse import urlsplit

from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError

TOKEN = re.compile(r"[0-9]+:[A-Za-z0-9_-]{8,}")
SHAPE = "digits, a colon, then 8 or more of A-Z a-z 0-9 _ -"
TICK_SECONDS = range(1, 61)
DEFAULT_TICK_SECONDS = 20
SECRET = re.compile(r"[A-Za-z0-9_-]{16,256}")  # Bot API 10.1, setWebhook: 1 to 256; fewer than 16 could be guessed
USER_ID = re.compile(r"[1-9][0-9]{0,15}")  # platform ids have at most 52 significant bits

T = TypeVar("T")

NAMES = (
    "NUDGEBOT_TOKEN",
    "NUDGEBOT_TOKEN_FILE",
    "NUDGEBOT_DATABASE",
    "NUDGEBOT_API_BASE",
    "NUDGEBOT_TICK_SECONDS",
    "NUDGEBOT_JOIN",
    "NUDGEBOT_OWNER",
    "NUDGEBOT_LISTEN",
    "NUDGEBOT_WEB_URL",
    "NUDGEBOT_WEBHOOK_URL",
    "NUDGEBOT_WEBHOOK_SECRET",
)


class Join(StrEnum):
    """Who may start talking to the bot."""

    OPEN = "open"
    INVITED = "invited"


@dataclass(frozen=True, slots=True)
class Listen:
    """Where the web listener listens: an address of this machine and a port."""

    host: str
    port: int


@dataclass(frozen=True, slots=True)
class Webhook:
    """Where the platform is to bring updates, and the secret by which we know that it is the platform."""

    url: str
    secret: str = field(repr=False)


@dataclass(frozen=True, slots=True)
class Settings:
    """What `serve` runs with.

    `token` and `database`, which may hold a password, stay out of the printed form. `database` is a SQLAlchemy URL of a
    SQLite file, or of PostgreSQL, which several workers may share. `api_base` is
    the root of a Bot API server without a trailing slash, "" for the platform's own. `owner` is the owner's user
    id on the platform, "" while there is none; a `join` of None is open until somebody hosts the bot. `listen` is None
    where no port is opened, `webhook` None if updates are polled for. `web_url` is where the listener is reached
    from outside, without a trailing slash, "" if it is not.
    """

    token: str = field(repr=False)
    database: str = field(repr=False)
    api_base: str = ""
    tick_seconds: int = DEFAULT_TICK_SECONDS
    join: Join | None = None
    owner: str = ""
    listen: Listen | None = None
    webhook: Webhook | None = None
    web_url: str = ""

    @property
    def open_door(self) -> bool | None:
        """Whether everybody may begin; None: until somebody hosts the bot."""
        return None if self.join is None else self.join is Join.OPEN


@dataclass(frozen=True, slots=True)
class Fault:
    """One setting that cannot be used: its name and what was wanted; never the value of a secret."""

    name: str
    wanted: str

    def __str__(self) -> str:
        return f"{self.name}: {self.wanted}"


def default_database(environ: Mapping[str, str], platform: str) -> str:
    """URL of the SQLite file in the user's data folder; `platform` is `sys.platform`.

    The folders are those of the XDG Base Directory Specification 0.8 ($XDG_DATA_HOME, else ~/.local/share),
    Apple's ~/Library/Application Support and Windows' %LOCALAPPDATA%.
    """
    home = Path(environ.get("HOME") or environ.get("USERPROFILE") or Path.home())
    if platform == "darwin":
        folder = home / "Library" / "Application Support"
    elif platform == "win32":
        folder = Path(environ.get("LOCALAPPDATA") or home / "AppData" / "Local")
    else:
        xdg = Path(environ.get("XDG_DATA_HOME", ""))
        folder = xdg if xdg.is_absolute() else home / ".local" / "share"  # the standard: a relative one is ignored
    return URL.create("sqlite", database=str(folder / "nudgebot" / "nudgebot.db")).render_as_string()


def read_settings(environ: Mapping[str, str], platform: str = sys.platform) -> Settings | tuple[Fault, ...]:
    """The settings named in `environ`, or all their faults in the order of the documented table.

    A variable that is set to nothing counts as not set, so that a line of env.example may stay empty.
    """
    faults: list[Fault] = []

    def value(name: str) -> str:
        return environ.get(name, "").strip()

    def checked(name: str, default: T, read: Callable[[str], T | Fault]) -> T:
        text = value(name)
        if not text:
            return default
        got = read(text)
        if isinstance(got, Fault):
            faults.append(got)
            return default
        return got

    token = _token(value("NUDGEBOT_TOKEN"), value("NUDGEBOT_TOKEN_FILE"))
    if isinstance(token, Fault):
        faults.append(token)
        token = ""
    database = checked("NUDGEBOT_DATABASE", default_database(environ, platform), _database)
    api_base = checked("NUDGEBOT_API_BASE", "", _api_base)
    tick_seconds = checked("NUDGEBOT_TICK_SECONDS", DEFAULT_TICK_SECONDS, _tick_seconds)
    join = checked("NUDGEBOT_JOIN", Join.INVITED if value("NUDGEBOT_OWNER") else None, _join)
    owner = checked("NUDGEBOT_OWNER", "", _owner)
    listen = checked("NUDGEBOT_LISTEN", None, _listen)
    url = checked("NUDGEBOT_WEBHOOK_URL", "", lambda text: _webhook_url(text, own_server=bool(api_base)))
    secret = checked("NUDGEBOT_WEBHOOK_SECRET", "", _secret)
    web_url = checked("NUDGEBOT_WEB_URL", "", _web_url)
    if web_url and not value("NUDGEBOT_LISTEN"):
        faults.append(Fault("NUDGEBOT_LISTEN", "missing; NUDGEBOT_WEB_URL needs it"))
    needed = ("NUDGEBOT_LISTEN", "NUDGEBOT_WEBHOOK_SECRET") if value("NUDGEBOT_WEBHOOK_URL") else ()
    faults += [Fault(name, "missing; NUDGEBOT_WEBHOOK_URL needs it") for name in needed if not value(name)]
    webhook = Webhook(url, secret) if url else None
    return tuple(faults) or Settings(token, database, api_base, tick_seconds, join, owner, listen, webhook, web_url)


def _token(given: str, path: str) -> str | Fault:
    if given and path:
        return Fault("NUDGEBOT_TOKEN", "set this or NUDGEBOT_TOKEN_FILE, not both")
    if not given and not path:
        return Fault("NUDGEBOT_TOKEN", "missing; set it or NUDGEBOT_TOKEN_FILE to the bot's token")
    name = "NUDGEBOT_TOKEN"
    if path:
        name = "NUDGEBOT_TOKEN_FILE"
        try:
            given = Path(path).read_text(encoding="ascii").strip()
        except OSError as error:
            return Fault(name, f"cannot be read: {error.strerror or 'unreadable'}")
        except UnicodeDecodeError:
            return Fault(name, f"wanted a file with one token: {SHAPE}")
    return given if TOKEN.fullmatch(given) else Fault(name, f"wanted {SHAPE}")


def _database(text: str) -> str | Fault:
    wanted = Fault(
        "NUDGEBOT_DATABASE",
        "wanted a URL such as sqlite:////var/lib/nudgebot/nudgebot.db or postgresql+psycopg://nudgebot@host/nudgebot",
    )
    try:
        url = make_url(text)
    except (ArgumentError, ValueError):
        return wanted
    if url.drivername in ("postgresql", "postgresql+psycopg"):
        return text if url.database else wanted
    if url.drivername not in ("sqlite", "sqlite+pysqlite") or (url.database or "").startswith("file:"):
        return wanted
    if url.database in (None, "", ":memory:"):
        return Fault("NUDGEBOT_DATABASE", "a database in memory would not survive a restart; name a file")
    return text


def _is_address(text: str, *schemes: str) -> bool:
    """Whether `text` is an address of one of these schemes with a host, and holds no question and no name of a user."""
    try:
        parts = urlsplit(text)
        port_is_right = parts.port != 0
    except ValueError:
        return False
    plain = not (parts.query or parts.fragment or parts.username or parts.password)
    return parts.scheme in schemes and bool(parts.hostname) and port_is_right and plain


def _api_base(text: str) -> str | Fault:
    wanted = Fault("NUDGEBOT_API_BASE", "wanted the root of a Bot API server such as http://127.0.0.1:8081")
    return text.rstrip("/") if _is_address(text, "http", "https") else wanted


def _tick_seconds(text: str) -> int | Fault:
    if re.fullmatch(r"[0-9]{1,2}", text) and int(text) in TICK_SECONDS:
        return int(text)
    return Fault("NUDGEBOT_TICK_SECONDS", f"{text!r} is not a whole number from 1 to 60")


def _join(text: str) -> Join | Fault | None:
    try:
        return Join(text)
    except ValueError:
        return Fault("NUDGEBOT_JOIN", f"{text!r} is neither open nor invited")


def _owner(text: str) -> str | Fault:
    return text if USER_ID.fullmatch(text) else Fault("NUDGEBOT_OWNER", "wanted the owner's numeric user id")


def _listen(text: str) -> Listen | Fault | None:
    wanted = Fault("NUDGEBOT_LISTEN", f"{text!r} is no address and port such as 127.0.0.1:8080 or [::1]:8080")
    try:
        parts = urlsplit(f"//{text}")
        host, port = parts.hostname, parts.port
    except ValueError:
        return wanted
    return Listen(host, port) if host and port and parts.netloc == text and "@" not in text else wanted


def _webhook_url(text: str, *, own_server: bool) -> str | Fault:
    """Only one's own Bot API server may bring updates without TLS (Bot API 10.1, "Using a Local Bot API Server")."""
    wanted = Fault("NUDGEBOT_WEBHOOK_URL", "wanted an https address such as https://bot.example.org/hook")
    return text if _is_address(text, "https", *(["http"] if own_server else [])) else wanted


def _web_url(text: str) -> str | Fault:
    wanted = Fault("NUDGEBOT_WEB_URL", "wanted an https address such as https://bot.example.org")
    return text.rstrip("/") if _is_address(text, "https") else wanted


def _secret(text: str) -> str | Fault:
    if SECRET.fullmatch(text):
        return text
    return Fault("NUDGEBOT_WEBHOOK_SECRET", "wanted 16 to 256 of A-Z a-z 0-9 _ - (openssl rand -hex 32)")
