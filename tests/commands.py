"""Command lines run in this process, and the files that they leave."""

from __future__ import annotations

from pathlib import Path

from click.testing import CliRunner, Result

from jiggen.cli import main


def run(*arguments: object) -> Result:
    """What ``jiggen`` with these arguments gave; anything raised but its exit is the test's failure."""
    result = CliRunner().invoke(main, [str(argument) for argument in arguments])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def tree(folder: Path) -> dict[str, bytes]:
    """Every file below ``folder`` by its path there, with "/"."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()
    }
