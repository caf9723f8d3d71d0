"""Changed job files given to the command line: each must end in a plan or in problems, soon, in little memory.

By hand: python tests/fuzz/run.py --count 100000 [--seed 0] [--first 0] [--workers 2] [--make 50]
Again what one gave: python tests/fuzz/run.py --show NUMBER > job.toml
"""

from __future__ import annotations

import argparse
import gc
import json
import multiprocessing
import os
import re
import resource
import signal
import sys
import tempfile
import traceback
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from time import monotonic, process_time
from types import FrameType
from typing import Any, NoReturn

from click.testing import CliRunner, Result

if __package__ in (None, ""):
    sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from fuzz.mutate import mutated

from jiggen.cli import main

SECONDS = 2.0  # processor time that a plan may take
MEGABYTES = 500  # that the process may have held
STUCK = 60  # s of processor time until one is ended, a packet too
CHUNK = 500  # job files until a worker gives way to a fresh one


class Stuck(BaseException):
    """Raised in what takes too long."""


@dataclass
class Tally:
    """What a row of job files came to: how many by exit code, the slowest, the largest process, and what went wrong."""

    codes: Counter[int] = field(default_factory=Counter)
    made: int = 0
    slowest: tuple[float, int] = (0.0, -1)
    slowest_packet: tuple[float, int] = (0.0, -1)
    megabytes: float = 0.0
    troubles: list[tuple[int, str]] = field(default_factory=list)

    def add(self, other: Tally) -> None:
        self.codes += other.codes
        self.made += other.made
        self.slowest = max(self.slowest, other.slowest)
        self.slowest_packet = max(self.slowest_packet, other.slowest_packet)
        self.megabytes = max(self.megabytes, other.megabytes)
        self.troubles += other.troubles

    @property
    def count(self) -> int:
        return sum(self.codes.values())

    def lines(self) -> Iterator[str]:
        yield f"{self.count} job files: " + ", ".join(f"exit {code}: {n}" for code, n in sorted(self.codes.items()))
        yield f"slowest plan {self.slowest[0]:.2f} s (number {self.slowest[1]}), largest process {self.megabytes:.0f} MB"
        yield f"{self.made} packets asked for, the slowest {self.slowest_packet[0]:.2f} s (number {self.slowest_packet[1]})"
        yield f"{len(self.troubles)} troubles"
        for number, words in sorted(self.troubles):
            yield f"  {number}: {words}"


def called(arguments: Iterable[object]) -> tuple[Result | None, float]:
    """The command line run in this process, and its processor time; None where it was stuck."""
    signal.signal(signal.SIGPROF, _stuck)
    signal.setitimer(signal.ITIMER_PROF, STUCK)
    start = process_time()
    try:
        result = CliRunner().invoke(main, [str(one) for one in arguments])
    except Stuck:
        result = None
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
    return result, process_time() - start


def _stuck(number: int, frame: FrameType | None) -> NoReturn:
    raise Stuck


def trouble(result: Result | None) -> str:
    """What is wrong with how a command ended; "" where it is a plan or problems."""
    if result is None:
        return f"stuck: over {STUCK} s"
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        where = traceback.extract_tb(result.exception.__traceback__)[-1]
        words = " ".join(str(result.exception).split())[:100]
        return f"trace: {type(result.exception).__name__} ({words}) at {Path(where.filename).name}:{where.lineno}"
    if result.exit_code not in (0, 1, 2):
        return f"exit {result.exit_code}: " + " ".join(result.stderr.split())[:200]
    if result.exit_code and "stop:" not in result.stderr:
        return f"exit {result.exit_code} and no problem is told"
    return "" if result.exit_code else _said(result.stdout)


def _said(text: str) -> str:
    """What is wrong with the words of a success."""
    if not text.strip():
        return "exit 0 and nothing is told"
    if text.startswith("{\n"):
        try:
            json.loads(text, parse_constant=_no_number)
        except ValueError as error:
            return f"plan.json: {error}"
    return ""


def no_number(result: Result | None, data: bytes) -> str:
    """Whether "nan" or "inf" stands in what a command said of a job file without such words."""
    found = re.search(r"\b(nan|inf)\b", result.output if result else "")
    return f'"{found[1]}" in what is told' if found and found[1].encode() not in data.lower() else ""


def _no_number(name: str) -> NoReturn:
    raise ValueError(f"{name} is in it")


@dataclass(frozen=True)
class Limits:
    """What a plan may take: ``seconds`` of processor time; and ``megabytes`` that the process may ever have held."""

    seconds: float = SECONDS
    megabytes: float = MEGABYTES

    @classmethod
    def beside_others(cls) -> Limits:
        """For a process that has done other things before, on a machine that does other things meanwhile."""
        return cls(5.0 * SECONDS, max(MEGABYTES, held() + MEGABYTES - 100.0))


def held() -> float:
    """The most memory that this process has held, MB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1024.0 if sys.platform != "darwin" else 1024.0**2)


def judge(data: bytes, number: int, folder: Path, packet: bool, limits: Limits) -> Tally:
    """One job file planned, and its packet made where that is asked for."""
    job = folder / "job.toml"
    job.write_bytes(data)
    tally = Tally()
    plan = ["plan", job, *(["--json"] if number % 2 else [])]
    result, seconds = called(plan)
    if seconds > limits.seconds:  # once more: the machine may have been busy
        result, again = called(plan)
        seconds = min(seconds, again)
    words = trouble(result) or no_number(result, data) or (f"{seconds:.1f} s" if seconds > limits.seconds else "")
    tally.slowest = (seconds, number)
    if packet and not words:
        result, seconds = called(["make", job, "--to", folder / "packet", "--draft"])
        words = trouble(result)
        tally.made, tally.slowest_packet = 1, (seconds, number)
    tally.codes[result.exit_code if result else -1] = 1
    tally.megabytes = held()
    if not words and tally.megabytes > limits.megabytes:
        words = f"{tally.megabytes:.0f} MB"
    if words:
        tally.troubles.append((number, words))
    return tally


def row(seed: int, numbers: Iterable[int], every: int) -> Tally:
    """Job files by their numbers, one packet in ``every`` (0: none), in this process among other things."""
    tally, limits = Tally(), Limits.beside_others()
    with tempfile.TemporaryDirectory() as folder:
        for number in numbers:
            tally.add(judge(mutated(seed, number), number, Path(folder), bool(every) and number % every == 0, limits))
    return tally


def _worker(seed: int, numbers: range, every: int, now: Any, answers: Any) -> None:
    resource.setrlimit(resource.RLIMIT_AS, (4 << 30, 4 << 30))
    tally = Tally()
    with tempfile.TemporaryDirectory() as folder:
        for number in numbers:
            now.value = number
            one = judge(mutated(seed, number), number, Path(folder), bool(every) and number % every == 0, Limits())
            tally.add(one)
            if one.megabytes > MEGABYTES:  # what follows would be blamed for it
                answers.put((number + 1, tally))
                return
    answers.put((numbers.stop, tally))


def _one_worker(seed: int, numbers: range, every: int) -> Tally:
    """A range in a process of its own, begun again behind whatever ends it."""
    tally, first = Tally(), numbers.start
    context = multiprocessing.get_context("fork")
    while first < numbers.stop:
        now, answers = context.Value("q", first), context.Queue()
        process = context.Process(target=_worker, args=(seed, range(first, numbers.stop), every, now, answers))
        process.start()
        done = _answer(process, now, answers)
        if done is None:
            tally.codes[-1] += 1
            tally.troubles.append((now.value, "the process ended or hung; what came before it counts in no figure"))
            first = now.value + 1
        else:
            first, more = done
            tally.add(more)
    return tally


def _answer(process: Any, now: Any, answers: Any) -> tuple[int, Tally] | None:
    last, since = now.value, monotonic()
    while True:
        try:
            found: tuple[int, Tally] = answers.get(timeout=0.5)
        except Exception:  # nothing yet
            if now.value != last:
                last, since = now.value, monotonic()
            if process.is_alive() and monotonic() - since < 5 * STUCK:
                continue
            process.kill()
            process.join()
            return None
        process.join()
        return found


def _share(work: tuple[int, range, int]) -> Tally:
    return _one_worker(*work)


def main_run(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--workers", type=int, default=1)
    parser.add_argument("--make", type=int, default=50, help="make the packet of one in so many; 0: of none")
    parser.add_argument("--show", type=int, help="write the job file of this number and end")
    asked = parser.parse_args(arguments)
    if asked.show is not None:
        sys.stdout.buffer.write(mutated(asked.seed, asked.show))
        return 0
    last = asked.first + asked.count
    work = [
        (asked.seed, range(first, min(first + CHUNK, last)), asked.make) for first in range(asked.first, last, CHUNK)
    ]
    tally, start = Tally(), monotonic()
    gc.freeze()
    from concurrent.futures import ThreadPoolExecutor

    with ThreadPoolExecutor(asked.workers) as pool:
        for done in pool.map(_share, work):
            tally.add(done)
            for number, words in sorted(done.troubles):
                print(f"{number}: {words}", flush=True)
            if tally.count % (4 * CHUNK) == 0 or tally.count >= asked.count:
                print(f"... {tally.count} after {monotonic() - start:.0f} s", file=sys.stderr, flush=True)
    print("\n".join(tally.lines()))
    return 1 if tally.troubles else 0


if __name__ == "__main__":
    os.environ["PYTHONHASHSEED"] = "0"
    sys.exit(main_run())
