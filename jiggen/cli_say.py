"""What is told of problems turned into lines on stderr, 80 columns wide, and into the exit code that goes with them."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from textwrap import wrap
from typing import NoReturn

import click

from jiggen.problems import Level, Problem, weighed
from jiggen.told import Told, how_many, told

LEVELS: tuple[Level, ...] = ("stop", "check", "note")


def tell(problems: Iterable[Problem]) -> None:
    """Each finding on stderr, told once of all its places, its further lines set in; how many of each level where there
    are several.

    Notes, then checks, then stops: what weighs most stands at the bottom, where a terminal shows it.
    """
    every = told(weighed(reversed(list(problems)))[::-1])
    for found in every:
        for line in wrap(str(found), 80, subsequent_indent="    ", break_long_words=False, break_on_hyphens=False):
            click.echo(line, err=True)
    if len(every) > 1:
        click.echo(counted(every), err=True)


def counted(findings: Iterable[Told]) -> str:
    """How many are told of each level: "2 stops, 9 checks at 26 places"; levels that there are none of are left out."""
    every = list(findings)
    of = {level: [found for found in every if found.level == level] for level in LEVELS}
    return ", ".join(how_many(found, level) for level, found in of.items() if found)


def not_made(problems: Iterable[Problem]) -> str:
    """The line that ends a refusal: how many stops to cure, and what makes a draft of them."""
    stops = sum(found.level == "stop" for found in told(problems))
    many = f"{stops} stop{'s' * (stops > 1)}"
    return f"nothing was made: cure {many} (above), or --draft prints DRAFT across every page"


def fail(problems: Iterable[Problem], code: int) -> NoReturn:
    """Tells ``problems`` and ends the program with ``code``."""
    tell(problems)
    sys.exit(code)


def refuse(where: str, found: str, remedy: str, code: int) -> NoReturn:
    """Tells one stop and ends the program with ``code``."""
    fail([Problem("stop", where, found, remedy)], code)
