"""The command ``jiggen printer`` turned into kept, listed and removed profiles; messages and exit codes."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from datetime import date
from math import degrees
from typing import TYPE_CHECKING, NoReturn

import click

from jiggen.cli_say import fail, refuse, tell
from jiggen.problems import Problem

if TYPE_CHECKING:
    from jiggen.printers import Profile

BAD_INPUT, NOT_WRITTEN = 2, 3
PAPERS = ("letter", "a4", "legal", "tabloid", "a3")
LONG = 900.0  # mm, a post under a guard's rail: what the doubt is told for
_READ = 'such as "190.6 of 190.5 mm"'


@click.command()
@click.argument("name", required=False)
@click.option("--across", help=f"The lower ruler of the scale page, {_READ}.")
@click.option("--along", help=f"The left ruler of the scale page, {_READ}.")
@click.option("--diagonals", help="Both diagonals, lower left to upper right first, such as 212.6, 211.7 mm.")
@click.option("--paper", type=click.Choice(PAPERS), help="Paper that was measured.  [default: letter]")
@click.option("--remove", "forget", is_flag=True, help="Forget this printer (on all papers without --paper).")
def printer(
    name: str | None,
    across: str | None,
    along: str | None,
    diagonals: str | None,
    paper: str | None,
    forget: bool,
) -> None:
    """Keep what a printer's scale page measures, for  make --printer NAME.

    Without NAME: the printers that are kept. With NAME alone: what is kept of it.
    """
    read = any(text is not None for text in (across, along, diagonals))
    if name is None:
        if read or forget or paper:
            _refuse("printer", "no name is given", "say which printer: jiggen printer office-2 ...")
        _list(None)
    elif forget:
        if read:
            _refuse("--remove", "readings are given too", "either remove the printer or measure it")
        _forget(name, paper)
    elif read:
        if across is None or along is None:
            missing = "--across" if across is None else "--along"
            _refuse(missing, "missing", f"measure both rulers, a printer is off differently both ways; {_READ}")
        _keep(name, across, along, diagonals or "", paper or _usual(across, along))
    else:
        _list(name)


def loaded(name: str, paper: str) -> Profile:
    """The profile to correct a packet on ``paper`` with; an old one is told as a note on stderr.

    Ends the program with exit code 2 where there is none that can be used. The note depends on the day and so
    stays out of the packet.
    """
    from jiggen import printers

    with _disk(str(printers.folder()), "cannot be read", BAD_INPUT), _input(f"printer {name}"):
        profile = printers.load(name, paper)
    note = printers.age_note(profile, date.today())
    tell([note] if note else [])
    return profile


def _usual(across: str, along: str) -> str:
    """The paper that is meant where none is named; ends the program where both rulers are those of another one's scale page."""
    from jiggen.sheets.correction import reading
    from jiggen.sheets.fiducials import rulers
    from jiggen.sheets.paper import bare, paper

    with contextlib.suppress(ValueError):  # what is no reading is told of the paper's
        told = reading(across).nominal, reading(along).nominal
        fits = [name for name in PAPERS if rulers(bare(paper(name))) == told]
        if fits and PAPERS[0] not in fits:
            found = f"rulers of {told[0]:.0f} and {told[1]:.0f} mm are those of a scale page on {fits[0]}"
            _refuse("--paper", found, f"write --paper {fits[0]}, or --paper {PAPERS[0]} if that is what was measured")
    return PAPERS[0]


def _keep(name: str, across: str, along: str, diagonals: str, size: str) -> None:
    from jiggen import printers
    from jiggen.sheets.correction import measured
    from jiggen.sheets.paper import paper

    sheet = paper(size)
    with _input(f"printer {name}"):
        printers.safe_name(name)
        correction, doubt = measured(across, along, diagonals, (sheet.width, sheet.height))
        said = f"across {across}, along {along}" + (f", diagonals {diagonals}" if diagonals.strip() else "")
        profile = printers.Profile(name, size, correction, date.today(), doubt, said)
    with _disk(str(printers.folder())):
        printers.save(profile)
    click.echo(f"{name} kept for {size}: {_words(profile)}")
    click.echo(f"read no finer, a corrected print may still be off by up to {doubt * LONG:.1f} mm over {LONG:.0f} mm")
    if not diagonals.strip():
        click.echo("square or not was not measured: --diagonals corrects it too")
    click.echo(f"use it:  jiggen make JOB --printer {name}")


def _list(name: str | None) -> None:
    from jiggen import printers

    with _disk(str(printers.folder()), "cannot be read", BAD_INPUT):
        with _input(f"printer {name}"):
            if name is not None:
                printers.safe_name(name)
        found, damaged = printers.every()
    chosen = [one for one in found if name is None or one.name.casefold() == name.casefold()]
    today = date.today()
    for one in chosen:
        click.echo(f"{one.name} on {one.paper}: {_words(one)}")
        click.echo(f"    measured {one.measured.isoformat()}: {one.read}")
    if not chosen and name is None:
        click.echo("no printer is kept: print the page of  jiggen scale , measure it, then  jiggen printer NAME ...")
    tell([*damaged, *(note for one in chosen if (note := printers.age_note(one, today)))])
    if not chosen and name is not None:
        known = ", ".join(dict.fromkeys(one.name for one in found)) or "none"
        _refuse(f"printer {name}", f"not kept; known: {known}", f"measure its scale page: --across and --along {_READ}")


def _forget(name: str, paper: str | None) -> None:
    from jiggen import printers

    with _disk(str(printers.folder()), "cannot be removed"), _input(f"printer {name}"):
        gone = printers.remove(name, paper)
    if not gone:
        on = f" for {paper}" if paper else ""
        _refuse(f"printer {name}", f"not kept{on}", "jiggen printer  lists what is kept")
    click.echo(f"{name} removed for {', '.join(gone)}")


def _words(profile: Profile) -> str:
    """What a printer does: "prints 100.05 % across, 99.63 % along, leans 0.30 degrees right"."""
    made = profile.correction
    words = f"prints {made.across * 100.0:.2f} % across, {made.along * 100.0:.2f} % along"
    lean = round(degrees(made.skew), 2)
    return words + (f", leans {abs(lean):.2f} degrees {'right' if lean > 0.0 else 'left'}" if lean else "")


@contextlib.contextmanager
def _input(where: str) -> Iterator[None]:
    """Turn a ValueError into its text on stderr and exit code 2; the text is what was found; what to do."""
    try:
        yield
    except ValueError as error:
        found, _, remedy = str(error).partition("; ")
        _refuse(where, found, remedy or "print the page of  jiggen scale  at 100 % and measure it")


@contextlib.contextmanager
def _disk(where: str, cannot: str = "cannot be written", code: int = NOT_WRITTEN) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        problem = Problem("stop", where, f"{cannot} ({error.strerror or error})", "check folder and space")
        fail([problem], code)


def _refuse(where: str, found: str, remedy: str) -> NoReturn:
    refuse(where, found, remedy, BAD_INPUT)
