"""Breaks the geometry in small ways, one after the other in a copy, and writes who noticed: tests/mutation/results.md.

By hand, half an hour: python tests/mutation/run.py [NAME ...]   (only slips whose name holds one of the words; the other rows stay)
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterable, Sequence
from pathlib import Path
from time import monotonic
from typing import NamedTuple

if __package__ in (None, ""):
    sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from mutation.mutants import MUTANTS, Mutant

PROJECT = Path(__file__).resolve().parents[2]
RESULTS = Path(__file__).with_name("results.md")
MAKES = ("tests/jobs/stair-up.toml", "tests/jobs/corner-45-bisect.toml", "jiggen/job/demo.toml")
READ_BACK = 3  # exit code where a file does not agree with its plan
HEAD = """# Who notices broken geometry

Written by `python tests/mutation/run.py`. Each row is one slip put into a copy of the program; the first test that failed
then, and whether `make` itself refused the packet because what it read back was off the plan. The comparison with the
committed demo packet is left out: it notices every change. Read-back compares files with the plan, so a slip in the
plan itself is for the tests alone.

"""


Row = tuple[str, str, str, str]
"""Name, file, test and make, as the page tells them."""


class Noticed(NamedTuple):
    """``test``: the first that failed, "" for none. ``makes``: jobs whose packet was refused, and why."""

    mutant: Mutant
    test: str
    makes: tuple[str, ...]


def broken(mutant: Mutant, tree: Path) -> str:
    """Put a mutant into the tree; returns the sound text of its file. Raises ValueError where it does not fit."""
    file = tree / "jiggen" / mutant.file
    sound = file.read_text(encoding="utf-8")
    if sound.count(mutant.old) != 1:
        raise ValueError(f"{mutant.name}: its text stands {sound.count(mutant.old)} times in {mutant.file}")
    file.write_text(sound.replace(mutant.old, mutant.new), encoding="utf-8")
    return sound


def copied(place: Path) -> Path:
    """A copy of the program and its tests in ``place``."""
    tree = place / "tree"
    left_out = shutil.ignore_patterns("__pycache__", ".*", "mutation", "test_demo.py")
    for name in ("jiggen", "tests", "fonts", "outputs"):
        shutil.copytree(PROJECT / name, tree / name, ignore=left_out)
    for name in ("pyproject.toml", "README.md", "DEVELOPERS.md", "LICENSE"):
        shutil.copy(PROJECT / name, tree)
    return tree


def called(tree: Path, *words: str) -> subprocess.CompletedProcess[str]:
    there = {**os.environ, "PYTHONPATH": str(tree), "PYTHONDONTWRITEBYTECODE": "1"}
    return subprocess.run([sys.executable, *words], cwd=tree, env=there, capture_output=True, text=True, check=False)


def failures(tree: Path, tests: Iterable[str], known: Iterable[str] = (), *more: str) -> list[str]:
    """The tests that fail in the tree, as pytest names them; those ``known`` to fail without any slip are left out."""
    left_out = [word for name in known for word in ("--deselect", name)]
    done = called(tree, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-n0", *more, *left_out, *tests)
    if done.returncode == 0:
        return []
    found = re.findall(r"^(?:FAILED|ERROR) (.+?)(?: - .*)?$", done.stdout, re.MULTILINE)
    return found or [f"pytest ended with {done.returncode}"]


def refused(tree: Path) -> tuple[str, ...]:
    """Jobs of which the tree makes no packet: read back and found off, stopped by its own rules, or broken down."""
    found = []
    for job in MAKES:
        with tempfile.TemporaryDirectory() as folder:
            done = called(tree, "-m", "jiggen", "make", job, "--to", f"{folder}/out")
        why = (
            "a trace" if "Traceback" in done.stderr else {0: "", READ_BACK: "read-back"}.get(done.returncode, "a stop")
        )
        if why:
            found.append(f"{Path(job).stem}: {why}")
    return tuple(found)


def noticed(mutant: Mutant, tree: Path, known: Iterable[str]) -> Noticed:
    sound = broken(mutant, tree)
    try:
        failed = [name.removeprefix("tests/") for name in failures(tree, mutant.tests, known, "-x")]
        return Noticed(mutant, failed[0] if failed else "", refused(tree))
    finally:
        (tree / "jiggen" / mutant.file).write_text(sound, encoding="utf-8")


def row(one: Noticed) -> Row:
    test = f"`{one.test}`" if one.test else "none"
    return one.mutant.name, one.mutant.file, test, "; ".join(one.makes) or "made"


def rows_of(page: str) -> list[Row]:
    """The rows of a page of results."""
    lines = [line.strip("| ").split(" | ") for line in page.splitlines() if line.startswith("| ")]
    return [(a, b, c, d) for a, b, c, d in (line for line in lines if len(line) == 4) if a not in ("slip", "---")]


def table(rows: Sequence[Row]) -> str:
    """The results as a page."""
    tests = sum(test != "none" for _, _, test, _ in rows)
    back = sum("read-back" in make for *_, make in rows)
    nobody = sum(test == "none" and make == "made" for _, _, test, make in rows)
    lines = [
        f"{len(rows)} slips: {tests} noticed by a test, {back} by read-back, {nobody} by nobody.",
        "",
        "| slip | in | first test that failed | make |",
        "| --- | --- | --- | --- |",
        *(f"| {' | '.join(cells)} |" for cells in rows),
    ]
    return HEAD + "\n".join(lines) + "\n"


def main_run(words: list[str]) -> int:
    chosen = [one for one in MUTANTS if not words or any(word in one.name for word in words)]
    found: list[Noticed] = []
    with tempfile.TemporaryDirectory() as place:
        tree = copied(Path(place))
        known = failures(tree, dict.fromkeys(test for one in chosen for test in one.tests))
        if known:
            print(f"failing without any slip, so left out: {', '.join(known)}", file=sys.stderr, flush=True)
        if refused(tree):
            print(f"the sound program makes no packet of {refused(tree)}", file=sys.stderr)
            return 2
        for mutant in chosen:
            start = monotonic()
            found.append(noticed(mutant, tree, known))
            print(f"{mutant.name}: {found[-1].test or 'NO TEST'}; {', '.join(found[-1].makes) or 'made'}"
                  f"  ({monotonic() - start:.0f} s)", flush=True)  # fmt: skip
    every = {
        cells[0]: cells
        for cells in (*(rows_of(RESULTS.read_text(encoding="utf-8")) if words else ()), *map(row, found))
    }
    RESULTS.write_text(table([every[one.name] for one in MUTANTS if one.name in every]), encoding="utf-8")
    return 1 if any(not one.test and not one.makes for one in found) else 0


if __name__ == "__main__":
    sys.exit(main_run(sys.argv[1:]))
