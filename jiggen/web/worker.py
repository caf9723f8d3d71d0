"""A working process of the page: asks come in as messages, answers go out; it may be killed at any time."""

from __future__ import annotations

import contextlib
import gc
import os
import sys
import traceback
from collections.abc import Callable
from typing import Any, BinaryIO

from jiggen.problems import JobError, Problem
from jiggen.web import frames

MEMORY = 3 * 1024**3  # bytes of address space; a packet of a large job takes a tenth of it
BETWEEN = 100_000  # objects made until rings of them are looked for while somebody waits: few go in rings
Answer = tuple[dict[str, Any], bytes]


def main() -> None:
    """Answer messages from stdin on stdout until stdin ends; what else is printed goes to stderr."""
    out = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    _limit_memory()
    from jiggen.web import tasks  # the core is loaded while nobody waits

    gc.collect()
    gc.freeze()
    gc.set_threshold(BETWEEN)
    while (message := frames.unpack(sys.stdin.buffer)) is not None:
        head, body = answer(*message, tasks, lambda found: _send(out, found))
        _send(out, head, body)
        gc.collect()  # rings of objects are looked for while nobody waits


def answer(ask: dict[str, Any], body: bytes, tasks: Any, send: Callable[[dict[str, Any]], None]) -> Answer:
    """The answer to one message: a JSON body, or a packet's files. Never raises: what fails comes back as a problem."""
    try:
        return _answer(ask, body, tasks, send)
    except JobError as error:
        return {}, tasks.to_bytes(tasks.refused(error))
    except Exception as error:
        traceback.print_exc()
        kind = "too much for this machine's memory" if isinstance(error, MemoryError) else type(error).__name__
        found = f"the planner could not work with these figures ({kind})"
        remedy = "take back what was typed last; everything typed is kept"
        return {}, tasks.to_bytes(tasks.refused(JobError([Problem("stop", "the job", found, remedy)])))


def _answer(ask: dict[str, Any], body: bytes, tasks: Any, send: Callable[[dict[str, Any]], None]) -> Answer:
    request, kind = ask.get("request", {}), ask.get("kind")
    if kind == "make":

        def tell(stage: str, done: int, total: int) -> None:
            send({"stage": stage, "done": done, "total": total})

        head, files = tasks.made(request, tell)
        head["files"] = [[name, len(data)] for name, data in files]
        return {"made": head}, b"".join(data for _, data in files)
    if kind == "scale":
        return {"pdf": True}, tasks.scale(request)
    if kind == "form":
        return {"pdf": True}, tasks.measure_up(request)
    if kind == "open":
        return {}, tasks.to_bytes(tasks.opened(body))
    if kind == "scan":
        from jiggen.web import scanning

        size = int(ask.get("packet", 0))
        return {}, tasks.to_bytes(scanning.check(body[size:], body[:size], request.get("dpi")))
    plain = {"look": tasks.look, "sheet": tasks.sheet, "jig": tasks.jig}
    return {}, tasks.to_bytes(plain[str(kind)](request))


def _send(out: BinaryIO, head: dict[str, Any], body: bytes = b"") -> None:
    out.write(frames.pack(head, body))
    out.flush()


def _limit_memory() -> None:
    with contextlib.suppress(ImportError, ValueError, OSError):
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))


if __name__ == "__main__":
    main()
