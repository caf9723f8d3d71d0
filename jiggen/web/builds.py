"""Packets being made: each a job of its own that tells how far it is, can be cancelled, and keeps its files in memory."""

from __future__ import annotations

import asyncio
import json
import secrets
import zipfile
from dataclasses import dataclass, field
from io import BytesIO
from typing import Any, Literal

from jiggen.web.workers import GoneError, Pool, TooLongError

State = Literal["waiting", "working", "done", "refused", "cancelled", "failed"]
MOST_KEPT = 12
MOST_WAITING = 24
FIRST_DAY = (1980, 1, 1, 0, 0, 0)  # the first that a zip file can say: the same packet gives the same bytes


@dataclass
class Build:
    """One packet that was asked for."""

    id: str
    state: State = "waiting"
    stage: str = ""
    done: int = 0
    total: int = 1
    words: str = ""
    head: dict[str, Any] = field(default_factory=dict)
    files: dict[str, bytes] = field(default_factory=dict)
    task: asyncio.Task[None] | None = None

    def told(self) -> dict[str, Any]:
        """How far it is, as plain data."""
        return {
            "id": self.id,
            "state": self.state,
            "stage": self.stage,
            "done": self.done,
            "total": self.total,
            "words": self.words,
            **self.head,
        }


class FullError(Exception):
    """Raised when too many packets wait to be made."""


class Builds:
    """Every packet that was asked for lately. ``limit``: seconds that making one may take."""

    def __init__(self, pool: Pool, limit: float) -> None:
        self.pool = pool
        self.limit = limit
        self.kept: dict[str, Build] = {}

    def start(self, request: dict[str, Any]) -> Build:
        """Begin a packet. Raises FullError."""
        if sum(build.state in ("waiting", "working") for build in self.kept.values()) >= MOST_WAITING:
            raise FullError
        build = Build(secrets.token_urlsafe(12))
        self.kept[build.id] = build
        build.task = asyncio.create_task(self._make(build, request))
        over = [b for b in self.kept.values() if b.state not in ("waiting", "working")][: -MOST_KEPT or None]
        for old in over:
            del self.kept[old.id]
        return build

    async def cancel(self, build: Build) -> None:
        """Stop making a packet; its process is killed."""
        if build.task and not build.task.done():
            build.task.cancel()
            await asyncio.wait([build.task])
        if build.state in ("waiting", "working"):
            build.state = "cancelled"

    async def close(self) -> None:
        for build in list(self.kept.values()):
            await self.cancel(build)

    async def _make(self, build: Build, request: dict[str, Any]) -> None:
        def tell(head: dict[str, Any]) -> None:
            build.state = "working"
            build.stage, build.done, build.total = str(head["stage"]), int(head["done"]), max(int(head["total"]), 1)

        try:
            head, body = await self.pool.ask({"kind": "make", "request": request}, b"", self.limit, tell)
        except asyncio.CancelledError:
            build.state = "cancelled"
            raise
        except TooLongError:
            build.state, build.words = "failed", f"it took longer than {self.limit:.0f} seconds and was ended"
        except GoneError:
            build.state, build.words = "failed", "the process that made it ended; the job may be too large"
        else:
            self._take(build, head, body)

    def _take(self, build: Build, head: dict[str, Any], body: bytes) -> None:
        made = head.get("made")
        if made is None or not made["files"]:
            build.state, build.head = "refused", json.loads(body) if made is None else made
            return
        at = 0
        for name, size in made["files"]:
            build.files[name] = body[at : at + size]
            at += size
        build.state, build.head = "done", made


def zipped(files: dict[str, bytes]) -> bytes:
    """The files of a packet in one zip file, the same bytes each time."""
    out = BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            archive.writestr(zipfile.ZipInfo(name, FIRST_DAY), data, zipfile.ZIP_DEFLATED)
    return out.getvalue()
