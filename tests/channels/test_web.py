"""The web listener: a webhook that takes nothing without its secret, and pages that name nobody."""

from __future__ import annotations

import asyncio
import json
import socket
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from typing import Any

import httpx
import pytest
from prometheus_client.openmetrics.parser import text_string_to_metric_families
from starlette.applications import Starlette

from nudgebot.app.health import Health
from nudgebot.channels.settings import Listen, Webhook
from nudgebot.channels.telegram.serve import CannotListenError, _listening
from nudgebot.channels.telegram.web import LARGEST_UPDATE, SECRET_HEADER, application
from nudgebot.storage.faults import StoreFault
from tests.servers.emulator import Emulator
from tests.servers.fake_telegram import PATIENCE, message
from tests.servers.running import Running

SECRET = "a-secret_of-the-tests"
HOOK = Webhook("https://bot.example.org/hook/here", SECRET)
WELL = Health(timedelta(seconds=5), None, None)


class House:
    """What the application is given: how the bot keeps up, and a store that may fail."""

    def __init__(self) -> None:
        self.health = WELL
        self.fault: StoreFault | None = None
        self.kept: list[object] = []

    async def examine(self) -> Health:
        if self.fault is not None:
            raise self.fault
        return self.health

    async def keep(self, brought: object) -> int:
        if self.fault is not None:
            raise self.fault
        self.kept.append(brought)
        return 1


@pytest.fixture
def house() -> House:
    return House()


class Client:
    """Asks `app` over HTTP, without a socket."""

    def __init__(self, app: Starlette) -> None:
        self._app = app

    def get(self, path: str) -> httpx.Response:
        return self._ask("GET", path)

    def post(self, path: str, **what: Any) -> httpx.Response:
        return self._ask("POST", path, **what)

    def _ask(self, method: str, path: str, **what: Any) -> httpx.Response:
        async def ask() -> httpx.Response:
            transport = httpx.ASGITransport(self._app)
            async with httpx.AsyncClient(transport=transport, base_url="http://bot") as client:
                return await client.request(method, path, **what)

        return asyncio.run(ask())


@pytest.fixture
def client(house: House) -> Client:
    return Client(application(house.examine, HOOK, house.keep))


def test_an_update_with_the_secret_is_kept_and_answered_with_200(client: Client, house: House) -> None:
    done = client.post("/hook/here", json={"update_id": 1}, headers={SECRET_HEADER: SECRET})
    assert (done.status_code, house.kept) == (200, [[{"update_id": 1}]])


@pytest.mark.parametrize("secret", ["", "a-secret_of-the-test", f"{SECRET}x", SECRET.upper(), "ß" * len(SECRET)])
def test_without_the_secret_nothing_is_kept(secret: str, client: Client, house: House) -> None:
    headers = {SECRET_HEADER: secret.encode()} if secret else {}
    assert client.post("/hook/here", json={"update_id": 1}, headers=headers).status_code == 403
    assert house.kept == []


@pytest.mark.parametrize(
    ("body", "status"), [(b"{", 400), (b"[" * 100_000, 400), (b" " * (LARGEST_UPDATE + 1), 413)], ids=str
)
def test_what_is_no_update_is_not_kept(body: bytes, status: int, client: Client, house: House) -> None:
    assert client.post("/hook/here", content=body, headers={SECRET_HEADER: SECRET}).status_code == status
    assert house.kept == []


def test_what_cannot_be_stored_is_answered_so_that_it_comes_again(client: Client, house: House) -> None:
    house.fault = StoreFault("no room left on the disk for {}", "it")
    assert client.post("/hook/here", json={"update_id": 1}, headers={SECRET_HEADER: SECRET}).status_code == 503


def test_health_is_200_while_it_keeps_up_and_503_with_the_reason_while_not(client: Client, house: House) -> None:
    done = client.get("/healthz")
    assert (done.status_code, done.json()["ok"], done.json()["last_round_age_s"]) == (200, True, 5.0)
    house.health = Health(timedelta(minutes=4), timedelta(minutes=3), None)
    done = client.get("/healthz")
    assert (done.status_code, len(done.json()["faults"])) == (503, 2)
    house.fault = StoreFault("{} is locked by another program", "it")
    assert client.get("/healthz").status_code == 503


def test_without_a_webhook_there_is_none(house: House) -> None:
    client = Client(application(house.examine, None, house.keep))
    assert client.post("/hook/here", json={}, headers={SECRET_HEADER: SECRET}).status_code == 404
    assert client.get("/healthz").status_code == 200


def test_only_what_is_listed_is_served(client: Client) -> None:
    assert client.get("/").status_code == 404
    assert client.get("/hook/here").status_code == 405
    assert client.get("/docs").status_code == 404


def free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as found:
        return int(found.getsockname()[1])


def page(port: int, path: str) -> tuple[int, str, str]:
    """Status, type and text of a page."""
    try:
        with urllib.request.urlopen(f"http://127.0.0.1:{port}{path}") as answer:
            return answer.status, answer.headers["Content-Type"], answer.read().decode()
    except urllib.error.HTTPError as error:
        return error.code, "", error.read().decode()


@contextmanager
def system_manager(path: str) -> Iterator[socket.socket]:
    """Where a service says how it is: the socket of sd_notify(3)."""
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as told:
        told.settimeout(PATIENCE)
        told.bind(path)
        yield told


def test_serve_by_webhook_answers_counts_and_names_nobody(tmp_path: Path) -> None:
    port = free_port()
    environ = {
        "BOT_UNLIMITED": "1",
        "BOT_CONVERSATION": "real",
        "NUDGEBOT_LISTEN": f"127.0.0.1:{port}",
        "NUDGEBOT_WEBHOOK_URL": f"http://127.0.0.1:{port}/hook",
        "NUDGEBOT_WEBHOOK_SECRET": SECRET,
    }
    ana = 7_001_993
    environ["NOTIFY_SOCKET"] = str(tmp_path / "systemd")
    with (
        system_manager(environ["NOTIFY_SOCKET"]) as systemd,
        Emulator(tmp_path / "journal.jsonl") as emulator,
        Running(emulator.url, tmp_path / "bot.db", environ=environ) as bot,
    ):
        bot.ready()
        told: set[bytes] = set()
        while told != {b"READY=1", b"WATCHDOG=1"}:
            told.add(systemd.recv(100))
        emulator.push({"message": message(ana, 1, "/start")})
        assert emulator.deliver() <= 1  # none where setting the webhook brought it
        emulator.until(lambda: emulator.texts(ana))
        bot.kill()  # what was answered with 200 is on the disk
        bot.start()
        bot.ready()
        emulator.push({"message": message(ana, 2, "yes")})
        emulator.deliver()
        emulator.until(lambda: len(set(emulator.texts(ana))) == 2)
        status, kind, text = page(port, "/metrics")
        assert status == 200
        assert kind.startswith("application/openmetrics-text")
        read = text_string_to_metric_families(text)  # type: ignore[no-untyped-call]
        families = {family.name: family for family in read}
        assert sum(s.value for s in families["nudgebot_lines"].samples if s.name.endswith("_total")) >= 1
        assert "nudgebot_decision_seconds" in families
        assert str(ana) not in text
        assert "Ana" not in text
        emulator.until(lambda: page(port, "/healthz")[0] == 200)
        assert json.loads(page(port, "/healthz")[2])["ok"] is True
        assert bot.end() == 0
        assert not any(SECRET in line for line in bot.err)
    judged = emulator.verdict("getMe", "setWebhook", "sendMessage")
    assert judged["ok"], judged


def test_a_port_that_is_taken_is_said_in_one_line() -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        where = Listen("127.0.0.1", taken.getsockname()[1])
        with (
            pytest.raises(CannotListenError, match=r"^cannot listen on 127\.0\.0\.1 port \d+: [^\n]+$"),
            _listening(where),
        ):
            pass


def test_a_calendar_is_read_by_its_address_alone(house: House) -> None:
    async def calendar(token: str) -> bytes | None:
        return b"BEGIN:VCALENDAR" if token == "a1" else None

    client = Client(application(house.examine, None, None, calendar))
    found = client.get("/calendar/a1.ics")
    assert (found.status_code, found.content) == (200, b"BEGIN:VCALENDAR")
    assert found.headers["Content-Type"].startswith("text/calendar")
    assert found.headers["Cache-Control"] == "private, no-store"
    assert [client.get(f"/calendar/{path}").status_code for path in ("a2.ics", "a1", "", "x/a1.ics")] == [404] * 4
    assert Client(application(house.examine, None, None)).get("/calendar/a1.ics").status_code == 404
