"""Asks turned into answers by working processes that are kept warm, killed when they take too long, and replaced."""

from __future__ import annotations

import asyncio
import contextlib
import json
import os
import sys
from collections.abc import AsyncIterator, Callable
from dataclasses import dataclass, field
from typing import Any

from jiggen.web import frames

Head = dict[str, Any]
Tell = Callable[[Head], None]


class TooLongError(Exception):
    """Raised when an ask took longer than it may; its process is gone."""


class GoneError(Exception):
    """Raised when a working process ended by itself."""


@dataclass
class Worker:
    """One working process."""

    process: asyncio.subprocess.Process

    @classmethod
    async def start(cls) -> Worker:
        """A fresh process; it loads the core at once."""
        paths = os.pathsep.join(path or os.getcwd() for path in sys.path)
        process = await asyncio.create_subprocess_exec(
            sys.executable,
            "-m",
            "jiggen.web.worker",
            stdin=asyncio.subprocess.PIPE,
            stdout=asyncio.subprocess.PIPE,
            env={**os.environ, "PYTHONPATH": paths, "PYTHONUTF8": "1"},
        )
        return cls(process)

    async def ask(self, ask: Head, body: bytes, tell: Tell | None = None) -> tuple[Head, bytes]:
        """The answer to one ask; ``tell`` gets what is reported on the way. Raises GoneError."""
        assert self.process.stdin and self.process.stdout
        try:
            self.process.stdin.write(frames.pack(ask, body))
            await self.process.stdin.drain()
            while True:
                head_size, body_size = frames.sizes(await self.process.stdout.readline())
                head = json.loads(await self.process.stdout.readexactly(head_size))
                found = await self.process.stdout.readexactly(body_size)
                if "stage" not in head:
                    return head, found
                if tell:
                    tell(head)
        except (ValueError, OSError, asyncio.IncompleteReadError) as error:
            raise GoneError("the working process ended") from error

    async def end(self) -> None:
        """Kill the process and wait until it is gone."""
        with contextlib.suppress(ProcessLookupError):
            self.process.kill()
        with contextlib.suppress(Exception):
            await self.process.communicate()


@dataclass
class Pool:
    """Up to ``most`` working processes, each for one ask at a time; who comes later waits."""

    most: int
    idle: list[Worker] = field(default_factory=list)
    gate: asyncio.Semaphore = field(init=False)

    def __post_init__(self) -> None:
        self.gate = asyncio.Semaphore(self.most)

    async def warm(self) -> None:
        """Start every process before the first ask."""
        self.idle.extend(await asyncio.gather(*(Worker.start() for _ in range(self.most - len(self.idle)))))

    async def ask(self, ask: Head, body: bytes, limit: float, tell: Tell | None = None) -> tuple[Head, bytes]:
        """The answer to one ask within ``limit`` seconds of work. Raises TooLongError, GoneError; cancelling kills the work."""
        async with self.gate, self._worker() as worker:
            try:
                return await asyncio.wait_for(worker.ask(ask, body, tell), limit)
            except TimeoutError:
                raise TooLongError from None

    @contextlib.asynccontextmanager
    async def _worker(self) -> AsyncIterator[Worker]:
        """A process for one ask; one that failed or was cancelled at work is killed, not kept."""
        worker = self.idle.pop() if self.idle else await Worker.start()
        try:
            yield worker
        except BaseException:
            await asyncio.shield(worker.end())
            raise
        self.idle.append(worker)

    async def close(self) -> None:
        """End every process that is idle."""
        while self.idle:
            await self.idle.pop().end()
