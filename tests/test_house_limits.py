"""The house limits of DEVELOPERS.md: no module over 400 lines, no function over 60."""

from __future__ import annotations

import ast
from pathlib import Path

from packets import PROJECT

MODULE, FUNCTION = 400, 60


def over(source: str, name: str) -> list[str]:
    """What in a module is over a limit, with its lines."""
    lines = len(source.splitlines())
    found = [f"{name}: {lines} lines"] if lines > MODULE else []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            long = (node.end_lineno or node.lineno) - node.lineno + 1
            if long > FUNCTION:
                found.append(f"{name}: {node.name}, {long} lines")
    return found


def modules() -> list[Path]:
    return sorted((PROJECT / "jiggen").rglob("*.py"))


def test_nothing_is_over_the_limits() -> None:
    assert len(modules()) > 40
    found = [words for path in modules() for words in over(path.read_text(encoding="utf-8"), path.name)]
    assert found == []


def test_what_is_over_is_seen() -> None:
    """A function of 1 + 60 lines in a module of 400; the same with a blank line before, which makes 401 lines."""
    long = "def f():\n" + "    pass\n" * 60
    rest = "x = 1\n" * (400 - 61)
    assert over(long.replace("    pass\n", "", 1) + rest, "m") == []
    assert over(long + rest, "m") == ["m: f, 61 lines"]
    assert over("\n" + long + rest, "m") == ["m: 401 lines", "m: f, 61 lines"]
