"""Problems turned into lines on stderr, 80 columns wide, and into the exit code that goes with them."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from textwrap import wrap
from typing import NoReturn

import click

from jiggen.problems import Problem


def tell(problems: Iterable[Problem]) -> None:
    """Each problem on stderr, its further lines set in."""
    for problem in problems:
        for line in wrap(str(problem), 80, subsequent_indent="    ", break_long_words=False, break_on_hyphens=False):
            click.echo(line, err=True)


def fail(problems: Iterable[Problem], code: int) -> NoReturn:
    """Tells ``problems`` and ends the program with ``code``."""
    tell(problems)
    sys.exit(code)


def refuse(where: str, found: str, remedy: str, code: int) -> NoReturn:
    """Tells one stop and ends the program with ``code``."""
    fail([Problem("stop", where, found, remedy)], code)
