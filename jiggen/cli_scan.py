"""The command ``jiggen scan-check`` turned into what scans say of printed pages, a kept printer, messages, exit codes."""

from __future__ import annotations

import sys
from datetime import date
from math import degrees
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

from jiggen.cli_files import MB, TooLargeError, read_at_most
from jiggen.cli_say import fail, refuse, tell
from jiggen.problems import Problem

if TYPE_CHECKING:
    from jiggen.scan.check import Checked
    from jiggen.scan.packet import Known

FINE, STOPPED, BAD_INPUT, NOT_WRITTEN = 0, 1, 2, 3
PAPERS = ("letter", "a4", "legal", "tabloid", "a3")
LONG = 900.0  # mm, a post under a guard's rail: what the doubt is told for
_LARGEST = 256 * MB  # bytes; a tabloid page in grey at 600 dpi has 66 million


@click.command("scan-check")
@click.argument("images", nargs=-1, required=True, type=click.Path(dir_okay=False, path_type=Path), metavar="IMAGE...")
@click.option("--dpi", type=float, help="Dots per inch of the scan.  [default: what the image tells]")
@click.option(
    "--packet",
    "file",
    type=click.Path(dir_okay=False, path_type=Path),
    help="The packet.pdf (or sheet PDF) that the pages are from, to measure each mark.",
)
@click.option("--save", "name", metavar="NAME", help="Keep what scale pages show as the correction of this printer.")
@click.option("--paper", type=click.Choice(PAPERS), help="Paper that must be in the scan, with --save.")
def scan_check(
    images: tuple[Path, ...], dpi: float | None, file: Path | None, name: str | None, paper: str | None
) -> None:
    """Measure printed pages by flatbed scans: which page, scale, skew, marks.

    Scan the whole page flat at 300 dpi or more, any way round, as PNG, TIFF or JPEG. The scanner itself is taken to
    be true: scan a steel rule once to know. Needs the extra: pip install "jiggen[scan]".
    """
    try:
        from jiggen.scan.check import check
        from jiggen.scan.packet import known
        from jiggen.scan.picture import ScanError
    except ImportError as error:
        _refuse("scan-check", f"{error.name or error} is not on this machine", 'pip install "jiggen[scan]"')
    if name is None and paper:
        _refuse("--paper", "without --save", "leave it out: the page itself tells its paper")
    packet: Known | None = None
    if file is not None:
        try:
            packet = known(_bytes(file))
        except ScanError as error:
            _refuse(str(file), error.found, error.remedy)
    found: list[Checked] = []
    refused: list[Problem] = []
    for image in images:
        try:
            one = check(str(image), _bytes(image), dpi, packet)
        except ScanError as error:
            refused.append(Problem("stop", str(image), error.found, error.remedy))
            continue
        found.append(one)
        click.echo(f"{image}: " + "\n".join(one.lines()))
    tell([*refused, *(problem for one in found for problem in one.problems)])
    if refused:
        sys.exit(BAD_INPUT)
    if name is not None:
        _keep(name, found, paper)
    sys.exit(STOPPED if any(p.level != "note" for one in found for p in one.problems) else FINE)


def _keep(name: str, found: list[Checked], paper: str | None) -> None:
    from jiggen import printers
    from jiggen.scan.check import correction, said
    from jiggen.scan.picture import ScanError

    try:
        printers.safe_name(name)
        made, doubt, size = correction(found, paper)
        profile = printers.Profile(name, size, made, date.today(), doubt, said(found))
    except ScanError as error:
        _refuse("--save", error.found, error.remedy)
    except ValueError as error:
        reason, _, remedy = str(error).partition("; ")
        _refuse("--save", reason, remedy or "use another name")
    try:
        printers.save(profile)
    except OSError as error:
        problem = Problem(
            "stop", str(printers.folder()), f"cannot be written ({error.strerror or error})", "check folder and space"
        )
        fail([problem], NOT_WRITTEN)
    lean = degrees(made.skew)
    click.echo(
        f"{name} kept for {size}: prints {made.across * 100.0:.2f} % across, {made.along * 100.0:.2f} % along,"
        f" leans {abs(lean):.2f} degrees {'right' if lean >= 0.0 else 'left'}"
    )
    click.echo(
        f"a corrected print may still be off by up to {doubt * LONG:.1f} mm over {LONG:.0f} mm, if the scanner is true"
    )
    click.echo(f"use it:  jiggen make JOB --printer {name}")


def _bytes(file: Path) -> bytes:
    try:
        return read_at_most(file, _LARGEST)
    except TooLargeError as error:
        _refuse(str(file), str(error.strerror), "scan in grey at 300 dpi")
    except OSError as error:
        _refuse(str(file), f"cannot be read ({error.strerror or error})", "check the name and the folder")


def _refuse(where: str, found: str, remedy: str) -> NoReturn:
    refuse(where, found, remedy, BAD_INPUT)
