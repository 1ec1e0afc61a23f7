"""`nudgebot serve`: the Telegram voice and the rounds on one database, until a signal ends it."""

from __future__ import annotations

import asyncio
import gc
import logging
import signal
import socket
import sys
import time
from collections.abc import Awaitable, Callable, Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from apscheduler.schedulers.asyncio import AsyncIOScheduler
from sqlalchemy import Engine

from nudgebot.app import calendar, handle_message, health, scheduler
from nudgebot.app.handle_message import warm_up
from nudgebot.channels.settings import Listen, Settings
from nudgebot.channels.telegram.bot_api import BotApi
from nudgebot.channels.telegram.channel import talk
from nudgebot.channels.telegram.dispatcher import Take
from nudgebot.channels.telegram.logs import begin_log, notify, place, places
from nudgebot.channels.telegram.outbox_worker import Sender
from nudgebot.channels.telegram.pacer import Limits, Pacer
from nudgebot.channels.telegram.poller import TokenRefusedError
from nudgebot.channels.telegram.threads import DrawingThread, StoreThread
from nudgebot.channels.telegram.updates import VOICE
from nudgebot.domain.messages.group.host import NOBODY_HOSTS
from nudgebot.rendering import pictures
from nudgebot.storage import outbox, owners
from nudgebot.storage.backup import rescue
from nudgebot.storage.crew import Crew
from nudgebot.storage.database import on_a_server, opened, reading
from nudgebot.storage.faults import StoreFault
from nudgebot.storage.holding import Hold, hold, refuse_if_gone

CLOCK_MOVED = timedelta(seconds=5)  # by how much wall and monotonic time may part in WATCH_SECONDS
WATCH_SECONDS = 1.0
SWEEP_HOURS = 1
PREPARE_SECONDS = 30.0  # after the start: what waits for an answer goes before pictures that nobody asked for yet
PLATFORM_LIMITS = Limits()
ROUND_LATE_SECONDS = health.ROUND_LATE.total_seconds()

Clock = Callable[[], datetime]

_log = logging.getLogger(__name__)


class CannotListenError(Exception):
    """The address is not ours to listen on; `str()` is one line."""


class FileGoneError(Exception):
    """The database file is not the one that was opened any more."""


@dataclass(frozen=True, slots=True)
class House:
    """What everything in a running `serve` shares."""

    settings: Settings
    engine: Engine
    held: Hold
    take: Take
    clock: Clock
    limits: Limits
    listening: socket.socket | None
    crew: Crew | None
    lease: timedelta | None


def serve(
    settings: Settings,
    clock: Clock,
    take: Take = handle_message.take,
    limits: Limits = PLATFORM_LIMITS,
    prepare: Callable[[], None] = warm_up,
    *,
    agreed: Callable[[datetime], datetime] = lambda server: server,
    lease: timedelta | None = None,
) -> int:
    """Run until SIGTERM or SIGINT; the exit status: 0 ended as asked, 1 with one line on standard error.

    `clock` gives the moment now (UTC), `take` acts on a line, `prepare` loads beforehand what `take` needs. Workers
    that share a database go by the time of its server, read as `agreed`; `lease` is how long one has a letter in hand.
    """
    begin_log(settings.token, sys.stderr, secret=settings.webhook.secret if settings.webhook else "")
    try:
        several = on_a_server(settings.database)
        holding = nullcontext(Hold(None)) if several else hold(settings.database, alone=True)
        with holding as held, _listening(settings.listen) as listening:
            refuse_if_gone(held)
            with opened(settings.database) as engine:
                held.remember()
                prepare()
                gc.freeze()  # what is there now stays; looking through it again would hold up a line
                if settings.open_door is None:
                    with reading(engine) as conn:
                        if not owners.claimed(conn, VOICE):
                            print(f"nudgebot: {NOBODY_HOSTS}", file=sys.stderr)
                crew = Crew(engine, agreed, time.monotonic) if several else None
                house = House(settings, engine, held, take, crew or clock, limits, listening, crew, lease)
                with crew or nullcontext():
                    return asyncio.run(_serve(house))
    except (CannotListenError, StoreFault) as fault:
        print(f"nudgebot: {fault}", file=sys.stderr)
        return 1


@contextmanager
def _listening(where: Listen | None) -> Iterator[socket.socket | None]:
    """The socket of the web listener, None without one; raises CannotListenError."""
    if where is None:
        yield None
        return
    try:
        family = socket.AF_INET6 if ":" in where.host else socket.AF_INET
        bound = socket.create_server((where.host, where.port), family=family)
    except OSError as error:
        why = error.strerror or "no such address"
        raise CannotListenError(f"cannot listen on {where.host} port {where.port}: {why}") from error
    with bound:
        yield bound


async def _serve(house: House) -> int:
    work = asyncio.create_task(_work(house))
    loop = asyncio.get_running_loop()
    for each in (signal.SIGTERM, signal.SIGINT):
        loop.add_signal_handler(each, work.cancel)
    loop.add_signal_handler(
        signal.SIGHUP, lambda: _log.warning("SIGHUP: nothing is read anew; settings are read at the start: restart")
    )
    try:
        await work
    except asyncio.CancelledError:
        _log.info("ended as asked")
        return 0
    except ExceptionGroup as group:
        if group.subgroup(FileGoneError):
            _say_gone(house)
        elif group.subgroup(TokenRefusedError):
            print("nudgebot: the server refused the token", file=sys.stderr)
        else:
            _log.critical("ended by a bug\n%s", places(group))
    finally:
        notify("STOPPING=1")
    return 1


def _say_gone(house: House) -> None:
    path = house.held.path
    copy = None if path is None else rescue(house.engine, path, house.clock())
    house.held.leave_word()
    kept = f"what it held is kept as {copy}: nudgebot restore puts it back" if copy else "nothing of it could be kept"
    print(f"nudgebot: the database {path} was removed or replaced while it was in use; {kept}", file=sys.stderr)


async def _work(house: House) -> None:
    settings, clock = house.settings, house.clock
    async with (
        BotApi(settings.token, settings.api_base) as api,
        StoreThread(house.engine) as store,
        DrawingThread() as pen,
    ):
        pacer = Pacer(house.limits)
        sender = Sender(api, store, pen, pacer, clock, house.lease)

        async def serve_web(keep: Callable[[object], Awaitable[int]]) -> None:
            if house.listening is not None:
                from nudgebot.channels.telegram import web  # takes a while to load, and most do without it

                await web.listen(web.application(examine, settings.webhook, keep, show), house.listening)

        async def show(token: str) -> bytes | None:
            return await store.begin(lambda conn: calendar.feed(conn, token, clock()))

        def look(now: datetime) -> health.Health:
            with reading(house.engine) as conn:
                return health.look(conn, VOICE, now)

        async def examine() -> health.Health:
            # Not in the store's own thread, which may be what hangs.
            return await asyncio.to_thread(look, clock())

        async with asyncio.TaskGroup() as tasks:
            leads = house.crew.leads if house.crew else lambda: True
            tasks.create_task(talk(api, store, sender, house.take, clock, _ready_once(), settings, serve_web, leads))
            if house.crew is not None:
                tasks.create_task(_keep_company(house.crew, pacer))
            tasks.create_task(_make_rounds(house, store, sender))
            tasks.create_task(_prepare(pen))


async def _keep_company(crew: Crew, pacer: Pacer) -> None:
    """Look who else works on this database, every second until cancelled: one of us leads, and all share the pace."""
    while True:
        pacer.share(await asyncio.to_thread(crew.look))
        await asyncio.sleep(WATCH_SECONDS)


async def _prepare(pen: DrawingThread) -> None:
    await asyncio.sleep(PREPARE_SECONDS)
    await pen.prepare()


def _ready_once() -> Callable[[], None]:
    said = False

    def ready() -> None:
        nonlocal said
        if not said:
            print("ready", flush=True)
            notify("READY=1")
            _log.info("updates arrive")
        said = True

    return ready


async def _make_rounds(house: House, store: StoreThread, sender: Sender) -> None:
    """Run the jobs `tick` and `digest` as often as the settings say, and `sweep` every hour, until cancelled."""
    clock, seconds = house.clock, house.settings.tick_seconds
    loop = asyncio.get_running_loop()
    last_round = loop.time()
    began = clock(), last_round

    async def tick() -> None:
        nonlocal last_round
        with _logged("tick"):
            while await store.run(lambda: scheduler.tick(store.engine, clock(), VOICE)) >= scheduler.LIMIT:
                pass  # more are due; lines that came in meanwhile had their turn between two calls
            await store.begin(lambda conn: outbox.recover(conn, VOICE, clock()))
            await store.begin(lambda conn: health.round_made(conn, VOICE, clock()))
        last_round = loop.time()
        sender.news()

    async def digest() -> None:
        with _logged("digest"):
            await store.run(lambda: scheduler.digest(store.engine, clock(), VOICE))
        sender.news()

    async def sweep() -> None:
        with _logged("sweep"):
            await store.run(lambda: scheduler.sweep(store.engine, clock()))
            pictures.forget()

    def each_second() -> None:
        if not house.held.is_the_same():
            raise FileGoneError
        if loop.time() - last_round < ROUND_LATE_SECONDS:  # else the system's watchdog starts us again
            notify("WATCHDOG=1")

    for work in (sweep, tick, digest):
        await work()
    # Late is better than not at all, and once is enough.
    jobs = AsyncIOScheduler(
        timezone=UTC, job_defaults={"misfire_grace_time": None, "coalesce": True, "max_instances": 1}
    )
    often = [
        jobs.add_job(work, "interval", seconds=seconds, id=work.__name__, name=work.__name__) for work in (tick, digest)
    ]
    jobs.add_job(sweep, "interval", hours=SWEEP_HOURS, id="sweep", name="sweep")
    jobs.start()

    def wait_anew() -> None:
        for job in often:
            job.reschedule("interval", seconds=seconds)

    try:
        await _watch(clock, began, wait_anew, each_second)
    finally:
        jobs.shutdown(wait=False)


@contextmanager
def _logged(job: str) -> Iterator[None]:
    """A failure of `job` is a line in the log and no more: the next time may go better, and answers must go on."""
    try:
        yield
    except StoreFault as fault:
        _log.error("%s failed: %s", job, fault)
    except Exception as bug:
        _log.error("%s failed: %s", job, place(bug))


async def _watch(
    clock: Clock, began: tuple[datetime, float], moved: Callable[[], object], each_second: Callable[[], None]
) -> None:
    """Call `each_second`, and `moved` whenever the wall clock was set since `began`: the scheduler waits for wall time.

    `began` is the time of both clocks at the start of the first round, which may take a while.
    """
    loop = asyncio.get_running_loop()
    wall, steady = began
    while True:
        await asyncio.sleep(WATCH_SECONDS)
        each_second()
        now, now_steady = clock(), loop.time()
        jump = (now - wall) - timedelta(seconds=now_steady - steady)
        wall, steady = now, now_steady
        if abs(jump) > CLOCK_MOVED:
            _log.warning("the clock moved by %.0f s", jump.total_seconds())
            moved()
