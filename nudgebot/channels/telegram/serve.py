"""`nudgebot serve`: the Telegram voice and the rounds on one database, until a signal ends it."""

from __future__ import annotations

import asyncio
import gc
import logging
import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta

from apscheduler.schedulers.asyncio import AsyncIOScheduler
from sqlalchemy import Engine

from nudgebot.app import handle_message, scheduler
from nudgebot.app.warm_up import warm_up
from nudgebot.channels.settings import Settings
from nudgebot.channels.telegram.bot_api import BotApi
from nudgebot.channels.telegram.channel import talk
from nudgebot.channels.telegram.dispatcher import Take
from nudgebot.channels.telegram.drawing_thread import DrawingThread
from nudgebot.channels.telegram.logs import begin_log, place, places
from nudgebot.channels.telegram.outbox_worker import Sender
from nudgebot.channels.telegram.pacer import Limits, Pacer
from nudgebot.channels.telegram.poller import TokenRefusedError
from nudgebot.channels.telegram.store_thread import StoreThread
from nudgebot.channels.telegram.updates import VOICE
from nudgebot.domain.messages.host import NOBODY_HOSTS
from nudgebot.rendering import pictures
from nudgebot.storage import outbox, owners
from nudgebot.storage.database import StoreFault, hold, opened, reading

CLOCK_MOVED = timedelta(seconds=5)  # by how much wall and monotonic time may part in WATCH_SECONDS
WATCH_SECONDS = 1.0
SWEEP_HOURS = 1
PREPARE_SECONDS = 30.0  # after the start: what waits for an answer goes before pictures that nobody asked for yet
PLATFORM_LIMITS = Limits()

Clock = Callable[[], datetime]

_log = logging.getLogger(__name__)


def serve(settings: Settings, clock: Clock, take: Take = handle_message.take, limits: Limits = PLATFORM_LIMITS) -> int:
    """Run until SIGTERM or SIGINT; the exit status: 0 ended as asked, 1 with one line on standard error.

    `clock` gives the moment now (UTC), `take` acts on a line.
    """
    begin_log(settings.token, sys.stderr)
    try:
        with hold(settings.database, alone=True), opened(settings.database) as engine:
            warm_up()
            gc.freeze()  # what is there now stays; looking through it again would hold up a line
            if settings.open_door is None:
                with reading(engine) as conn:
                    if not owners.claimed(conn, VOICE):
                        print(f"nudgebot: {NOBODY_HOSTS}", file=sys.stderr)
            return asyncio.run(_serve(settings, engine, take, clock, limits))
    except StoreFault as fault:
        print(f"nudgebot: {fault}", file=sys.stderr)
        return 1


async def _serve(settings: Settings, engine: Engine, take: Take, clock: Clock, limits: Limits) -> int:
    work = asyncio.create_task(_work(settings, engine, take, clock, limits))
    for each in (signal.SIGTERM, signal.SIGINT):
        asyncio.get_running_loop().add_signal_handler(each, work.cancel)
    try:
        await work
    except asyncio.CancelledError:
        _log.info("ended as asked")
        return 0
    except ExceptionGroup as group:
        if group.subgroup(TokenRefusedError):
            print("nudgebot: the server refused the token", file=sys.stderr)
        else:
            _log.critical("ended by a bug\n%s", places(group))
    return 1


async def _work(settings: Settings, engine: Engine, take: Take, clock: Clock, limits: Limits) -> None:
    async with BotApi(settings.token, settings.api_base) as api, StoreThread(engine) as store, DrawingThread() as pen:
        sender = Sender(api, store, pen, Pacer(limits), clock)
        async with asyncio.TaskGroup() as tasks:
            tasks.create_task(talk(api, store, sender, take, clock, _ready, settings.owner))
            tasks.create_task(_make_rounds(settings.tick_seconds, store, sender, clock))
            tasks.create_task(_prepare(pen))


async def _prepare(pen: DrawingThread) -> None:
    await asyncio.sleep(PREPARE_SECONDS)
    await pen.prepare()


def _ready() -> None:
    print("ready", flush=True)
    _log.info("polling")


async def _make_rounds(seconds: int, store: StoreThread, sender: Sender, clock: Clock) -> None:
    """Run the jobs `tick` and `digest` every `seconds`, and `sweep` every hour, until cancelled."""

    async def tick() -> None:
        with _logged("tick"):
            while await store.run(lambda: scheduler.tick(store.engine, clock(), VOICE)) >= scheduler.LIMIT:
                pass  # more are due; lines that came in meanwhile had their turn between two calls
            await store.begin(lambda conn: outbox.recover(conn, VOICE, clock()))
        sender.news()

    async def digest() -> None:
        with _logged("digest"):
            await store.run(lambda: scheduler.digest(store.engine, clock(), VOICE))
        sender.news()

    async def sweep() -> None:
        with _logged("sweep"):
            await store.run(lambda: scheduler.sweep(store.engine, clock()))
            pictures.forget()

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
        await _watch_clock(clock, wait_anew)
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


async def _watch_clock(clock: Clock, moved: Callable[[], object]) -> None:
    """Call `moved` whenever the wall clock was set: the scheduler waits for wall time, and would wait too long."""
    loop = asyncio.get_running_loop()
    wall, steady = clock(), loop.time()
    while True:
        await asyncio.sleep(WATCH_SECONDS)
        now, now_steady = clock(), loop.time()
        jump = (now - wall) - timedelta(seconds=now_steady - steady)
        wall, steady = now, now_steady
        if abs(jump) > CLOCK_MOVED:
            _log.warning("the clock moved by %.0f s", jump.total_seconds())
            moved()
