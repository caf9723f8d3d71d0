"""README's table of keys against the reader: every key that a job may have stands there, and no other."""

from __future__ import annotations

import re
from collections import defaultdict
from importlib import resources
from pathlib import Path

import pytest

from jiggen.handbook.posts import nominal_names
from jiggen.job import tables
from jiggen.job.read import read_job
from jiggen.problems import JobError

ROOT = Path(__file__).parents[1]
JOBS = [*sorted((ROOT / "tests" / "jobs").rglob("*.toml"))]
NAMED = ("post", "fitting", "bracket", "strand", "wood", "code")


def in_readme() -> dict[str, set[str]]:
    """The keys of README's table by table: "post.NAME": {"shape", ...}."""
    found: dict[str, set[str]] = defaultdict(set)
    part = (ROOT / "README.md").read_text(encoding="utf-8").partition("## Every key")[2].partition("\n## ")[0]
    table = ""
    for line in part.splitlines():
        first = line.split("|")[1].strip() if line.count("|") >= 4 else ""
        if first.startswith("**"):
            table = re.sub(r"[\[\]*]", "", first).replace(" ", ".")
        else:
            found[table] |= set(re.findall(r"`(\w+)`", first))
    return {table: keys for table, keys in found.items() if keys}


def asked(monkeypatch: pytest.MonkeyPatch) -> dict[str, set[str]]:
    """The keys that the reader asks for in all jobs of the tests, by table, named as README names them."""
    found: dict[str, set[str]] = defaultdict(set)
    done = tables.Table.done

    def noted(table: tables.Table) -> None:
        found[spelled(table.path)] |= set(table.asked)
        done(table)

    monkeypatch.setattr(tables.Table, "done", noted)
    for path in (*JOBS, Path(str(resources.files("jiggen.job").joinpath("demo_all.toml")))):
        try:
            read_job(path.read_text(encoding="utf-8"))
        except JobError:
            continue
    return found


def spelled(path: str) -> str:
    """A table's path as README names it."""
    plain = re.sub(r"\[\d+\]", "", path)
    head, _, rest = plain.partition(".")
    if head == "code":
        return ".".join(["code.NAME", *rest.split(".")[1:]])
    if head in NAMED:
        return f"{head}.NAME" if not rest.endswith(".wire") else "run.wire"
    if head == "as_built":
        return "as_built.POST"
    if rest in ("rail", "bottom_rail"):
        return "guard.rail"
    return plain


def test_readme_has_every_key_and_no_other(monkeypatch: pytest.MonkeyPatch) -> None:
    readme, known = in_readme(), asked(monkeypatch)
    known["run"] -= readme["guard"]  # any key of the guard may stand in a run; told once
    known.pop("", None)
    assert len(known) >= 18
    assert readme == dict(known)


def test_readme_lists_every_trade_size() -> None:
    text = " ".join((ROOT / "README.md").read_text(encoding="utf-8").split())
    listed = text.partition("Sizes by the trade's name: ")[2].partition(". ")[0]
    assert listed.split(", ") == list(nominal_names())


def test_readme_opens_with_the_job_and_two_commands() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    head = text.partition("## ")[0]
    assert head.startswith("# jiggen\n\nAn installer of stainless cable guards")
    assert [block.split("\n")[1] for block in head.split("\n```")[1::2]] == [
        "python3 -m venv .venv && .venv/bin/pip install . && .venv/bin/jiggen demo",
        "bash tests/run",
    ]
