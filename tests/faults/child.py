"""A command of ours in a child process made by fork: cheap, as all is imported already, and safe to end or to hobble."""

from __future__ import annotations

import os
import signal
import sys
import tempfile
import traceback
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from commands import tree

from jiggen.cli import main

needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="this system has no fork")


@dataclass(frozen=True)
class Ended:
    """How a child ended: its exit code (negative: the signal that ended it) and its words."""

    code: int
    out: str
    err: str


def forked(work: Callable[[], Any]) -> Ended:
    """``work`` done in a child process."""
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
        child = os.fork()
        if not child:
            _child(work, out.fileno(), err.fileno())
        code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        said = []
        for file in (out, err):
            file.seek(0)
            said.append(file.read().decode("utf-8", "surrogateescape"))
    return Ended(code, *said)


def _child(work: Callable[[], Any], out: int, err: int) -> None:
    code = 70
    try:
        os.dup2(out, 1)
        os.dup2(err, 2)
        sys.stdout = open(1, "w", encoding="utf-8", errors="surrogateescape", closefd=False)  # noqa: SIM115
        sys.stderr = open(2, "w", encoding="utf-8", errors="backslashreplace", closefd=False)  # noqa: SIM115
        try:
            work()
            code = 0
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else 0 if end.code is None else 1
        except BaseException:
            traceback.print_exc()
        sys.stdout.flush()
        sys.stderr.flush()
    finally:
        os._exit(code)


def called(arguments: Sequence[object], before: Callable[[], Any] = lambda: None) -> Ended:
    """The command line with ``arguments`` in a child process, after ``before`` was done there."""

    def work() -> None:
        before()
        main([os.fspath(one) if isinstance(one, Path) else str(one) for one in arguments], prog_name="jiggen")

    return forked(work)


def ended_at(step: int, work: Callable[[], Any]) -> Ended:
    """``work`` in a child process that is killed where it takes step ``step`` (from 1) with a file or folder."""

    def hobbled() -> None:
        left = step

        def count(event: str, _: object) -> None:
            nonlocal left
            if event.startswith(("os.", "open", "shutil.", "tempfile.", "fcntl.", "ctypes.")):
                left -= 1
                if left == 0:
                    os.kill(os.getpid(), signal.SIGKILL)

        sys.addaudithook(count)
        work()

    return forked(hobbled)


def whole_one(folder: Path, packets: Sequence[Mapping[str, bytes]]) -> int:
    """Which of ``packets`` the folder holds, every byte of it; AssertionError where it is none."""
    found = tree(folder)
    for index, packet in enumerate(packets):
        if found == dict(packet):
            return index
    raise AssertionError(f"{folder} holds {sorted(found)}, which is no whole packet")


def clear(ended: Ended, code: int) -> None:
    """Whether a command failed as it should: one problem, nothing else, no trace."""
    assert ended.code == code, ended
    assert "Traceback" not in ended.err
    told = [line for line in ended.err.splitlines() if line.startswith(("stop:", "Error: "))]
    assert len(told) == 1, ended.err
    assert len(ended.err.splitlines()) <= 5, ended.err
