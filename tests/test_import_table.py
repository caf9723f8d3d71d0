"""Who may import whom: every import of the package, those inside functions too, against one table."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[1] / "jiggen"

BASE = {"units", "geometry", "problems", "told"}
# a package of ours and what it may import of ours; itself always
TABLE: dict[str, set[str]] = {
    "units": set(),
    "geometry": set(),
    "problems": set(),
    "told": {"problems"},
    "handbook": {"units"},
    "mechanics": BASE,
    "drawing": BASE,
    "readback": BASE,
    "shapes": {"geometry"},
    "job": BASE | {"handbook", "shapes"},
    "sheets": BASE | {"handbook", "drawing"},
    "plan": BASE | {"handbook", "mechanics", "shapes", "job"},
    "render": BASE | {"drawing", "sheets"},
    "review": BASE | {"handbook", "mechanics", "shapes", "job", "plan"},
    "compose": BASE | {"handbook", "shapes", "job", "plan", "drawing", "sheets"},
    "verify": BASE | {"handbook", "drawing", "plan", "sheets", "readback"},
    "packetfolder": BASE,
    "packetfile": BASE | {"readback"},
    "printers": BASE | {"sheets"},
    "cli_printer": BASE | {"sheets", "printers", "cli_say"},
    "build": BASE
    | {
        "handbook",
        "mechanics",
        "drawing",
        "readback",
        "job",
        "sheets",
        "plan",
        "render",
        "review",
        "compose",
        "verify",
    },
    "cli": {
        "build",
        "job",
        "problems",
        "units",
        "plan.document",
        "packetfile",
        "cli_files",
        "cli_printer",
        "cli_say",
        "cli_scan",
        "cli_serve",
        "packetfolder",
    },
    "cli_files": set(),
    "cli_say": BASE,
    "cli_serve": {"web"},
    "cli_scan": BASE | {"sheets", "printers", "scan", "cli_files", "cli_say"},
    "scan": BASE | {"handbook", "sheets", "readback", "verify"},
    "web": BASE
    | {
        "handbook",
        "shapes",
        "job",
        "plan",
        "review",
        "drawing",
        "compose",
        "sheets",
        "render",
        "build",
        "packetfile",
        "printers",
        "scan",
    },
    "__main__": {"cli"},
    "__init__": set(),  # its public names are looked up when they are asked for
}


def imported(source: str, where: tuple[str, ...]) -> set[str]:
    """Dotted names of ours, less the package's own, that a module imports. ``where``: its path, as parts."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            found.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            above = ["jiggen", *where[: len(where) - node.level]] if node.level else []
            start = ".".join([*above, *([node.module] if node.module else [])])
            found.update(f"{start}.{alias.name}" for alias in node.names)
    return {name.removeprefix("jiggen.") for name in found if name.split(".")[0] == "jiggen"}


def forbidden(source: str, where: tuple[str, ...], table: dict[str, set[str]] | None = None) -> list[str]:
    """Imports of a module at ``where`` (("plan", "lines")) that the table does not allow."""
    allowed = (table or TABLE)[where[0]] | {where[0]}
    return sorted(
        name
        for name in imported(source, where)
        if not any(name == one or name.startswith(f"{one}.") for one in allowed)
    )


def modules() -> list[Path]:
    return sorted(PACKAGE.rglob("*.py"))


def parts(path: Path) -> tuple[str, ...]:
    return path.relative_to(PACKAGE).with_suffix("").parts


def test_there_are_modules_to_look_at() -> None:
    assert len(modules()) > 40
    assert {parts(path)[0] for path in modules()} <= set(TABLE)


@pytest.mark.parametrize("path", modules(), ids=lambda path: ".".join(parts(path)))
def test_imports_are_in_the_table(path: Path) -> None:
    assert forbidden(path.read_text(encoding="utf-8"), parts(path)) == []


def test_no_module_asks_for_another_by_its_name() -> None:
    """No import through importlib that the table would not see, but for the public names."""
    asking = [path for path in modules() if "import_module" in path.read_text(encoding="utf-8")]
    assert [parts(path) for path in asking] == [("__init__",)]


@pytest.mark.parametrize(
    ("source", "where", "found"),
    [
        ("from jiggen.plan.lines import Stand", ("drawing", "scene"), ["plan.lines.Stand"]),
        ("import jiggen.plan.lines", ("drawing", "scene"), ["plan.lines"]),
        ("from jiggen import plan", ("drawing", "scene"), ["plan"]),
        ("from ..plan import lines", ("drawing", "scene"), ["plan.lines"]),
        ("from .. import plan", ("drawing", "scene"), ["plan"]),
        ("def late():\n    from jiggen.render.pdf import pdf", ("readback", "pdf"), ["render.pdf.pdf"]),
        ("class A:\n    def b(self):\n        import jiggen.cli as c", ("build",), ["cli"]),
        ("from jiggen.plan.make import make_plan", ("cli",), ["plan.make.make_plan"]),
        ("from jiggen.plan.document import to_json", ("cli",), []),
        ("from jiggen.units import length", ("handbook", "papers"), []),
        ("from . import lines\nfrom .faces import views", ("plan", "make"), []),
        ("from jiggen.geometry import Point", ("handbook", "papers"), ["geometry.Point"]),
        ("from jiggen.unitsandmore import x", ("handbook", "papers"), ["unitsandmore.x"]),
        ("import json\nfrom math import pi", ("units",), []),
    ],
)
def test_forbidden_imports_are_found(source: str, where: tuple[str, ...], found: list[str]) -> None:
    assert forbidden(source, where) == found


def test_table_has_no_ring() -> None:
    """Data goes one way: no package reaches itself through what it may import."""
    for start in TABLE:
        reached: set[str] = set()
        ahead = [name.split(".")[0] for name in TABLE[start]]
        while ahead:
            name = ahead.pop()
            if name not in reached:
                reached.add(name)
                ahead.extend(one.split(".")[0] for one in TABLE[name])
        assert start not in reached
