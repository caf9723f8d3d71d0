"""The command line turned into builds and files: arguments, files, exit codes. No geometry."""

from __future__ import annotations

import contextlib
import gc
import re
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from jiggen.cli_files import MB, read_at_most, write_whole
from jiggen.cli_printer import loaded, printer
from jiggen.cli_say import fail, not_made, tell
from jiggen.cli_scan import scan_check
from jiggen.cli_serve import serve
from jiggen.packetfolder import foreign, fresh_packet
from jiggen.problems import JobError, Problem, StopError

if TYPE_CHECKING:
    from jiggen.build import Options, Packet, Progress
    from jiggen.job.model import Job

MADE_BETWEEN = (
    50_000  # objects: a command makes many and few go in rings, so that looking for those more often costs time
)
LARGEST = 64 * MB  # bytes of a file that is read
FINE, STOPPED, BAD_INPUT, NOT_WRITTEN = 0, 1, 2, 3
Command = TypeVar("Command", bound=Callable[..., Any])
PAPERS = click.Choice(["letter", "a4", "legal", "tabloid", "a3"])
FORCE = click.option("--force", is_flag=True, help="Replace the file if it is there already.")


def _to(name: str) -> Callable[[Command], Command]:
    """The option that names the file to write, ``name`` where it is not given."""
    kind = click.Path(dir_okay=False, path_type=Path)
    return click.option("--to", "file", type=kind, default=Path(name), show_default=True)


class Commands(click.Group):
    """The commands; what the disk or the output refuses to any of them ends in a problem, never in a trace."""

    def main(self, *arguments: Any, **named: Any) -> Any:
        gc.set_threshold(MADE_BETWEEN)
        try:
            return super().main(*arguments, **named)
        except OSError as error:
            where, found = str(error.filename or "the output"), f"cannot be used ({error.strerror or error})"
            with contextlib.suppress(OSError):  # where stderr is full as well
                tell([Problem("stop", where, found, "check folder and space")])
            sys.exit(NOT_WRITTEN)
        except MemoryError:
            found = "it takes more memory than there is"
            tell([Problem("stop", "this command", found, "close other programs, or make a part with --posts")])
            sys.exit(NOT_WRITTEN)


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80})
@click.version_option(package_name="jiggen", prog_name="jiggen")
def main() -> None:
    """Drilling templates and schedules for stainless cable guards.

    One job file goes in, one packet comes out: a true-scale sheet for each kind of post, drill list,
    hardware, cable cuts. Problems go to stderr, results to stdout.
    """


for command in (printer, scan_check, serve):
    main.add_command(command)


@main.command()
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--metric", is_flag=True, help="Millimetres and A4 instead of inches and letter.")
@FORCE
def start(file: Path, metric: bool, force: bool) -> None:
    """Write a commented job file to begin from."""
    from jiggen.job.start import start as first_job

    _write(file, first_job(metric).encode(), force)
    click.echo(f"{file} written: measure, change the figures, then  jiggen plan {file}")


@main.command()
@click.argument("job", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="The plan as plan.json.")
@click.option("--paper", type=PAPERS, help="Paper, instead of the job's.")
def plan(job: Path, as_json: bool, paper: str | None) -> None:
    """Show layout, drill list and every problem of a job."""
    from jiggen.build import survey
    from jiggen.plan.document import to_json

    read, made, _ = _read_job(job)
    with _job_errors():
        found = survey(read, replace(made, paper=paper or made.paper))
    if as_json:
        click.echo(to_json(found.document), nl=False)
    else:
        for line in found.text():
            click.echo(line)
    tell(found.problems)
    sys.exit(STOPPED if found.stops else FINE)


@main.command()
@click.argument("job", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--to", "folder", type=click.Path(path_type=Path), help="Folder for the packet.")
@click.option("--paper", type=PAPERS, help="Paper, instead of the job's.")
@click.option("--only", help="Sheets to make, such as S3 or S1,S4.")
@click.option("--posts", help="Make the sheets that serve these posts, such as 4,6.")
@click.option("--jigs", help="Jigs to make, where the job has [jig]: all (the usual), none, or such as S3.")
@click.option("--printer", "printer_name", help="Correct every page for a printer kept by  jiggen printer.")
@click.option("--draft", is_flag=True, help="Make it in spite of a stop, with DRAFT on every page.")
def make(
    job: Path,
    folder: Path | None,
    paper: str | None,
    only: str | None,
    posts: str | None,
    jigs: str | None,
    printer_name: str | None,
    draft: bool,
) -> None:
    """Make the packet of a job: sheets, jigs, lists, plan; each file read back and measured.

    JOB is a job file, or a packet made earlier: the job in it is made again, with its options.
    """
    _refuse_empty({"--only": only, "--posts": posts, "--jigs": jigs})
    read, options, name = _read_job(job)
    options = replace(
        options,
        paper=paper or options.paper,
        only=_names(only) or options.only,
        posts=_names(posts) or options.posts,
        jigs=jigs or options.jigs,
        draft=draft or options.draft,
    )
    if printer_name is not None:
        profile = loaded(printer_name, options.paper or read.sheet.paper)
        options = replace(options, printer=profile.name, correction=profile.correction)
    _make(read, folder or Path(f"{name}-packet"), options)


@main.command()
@click.option("--all", "every", is_flag=True, help="The second demo job: every shape of post and every role.")
@click.option("--to", "folder", type=click.Path(path_type=Path), help="Folder, instead of outputs/demo(-all).")
@click.option("--paper", type=PAPERS, help="Paper, instead of the demo job's.")
def demo(every: bool, folder: Path | None, paper: str | None) -> None:
    """Make the packet of the demo job, in outputs/demo (outputs/demo-all)."""
    from jiggen.build import Options
    from jiggen.job.read import read_job

    name, place = ("demo_all.toml", "outputs/demo-all") if every else ("demo.toml", "outputs/demo")
    text = (Path(__file__).parent / "job" / name).read_text(encoding="utf-8")
    with _job_errors():
        job = read_job(text, name)
    _make(job, folder or Path(place), Options(paper=paper))


@main.command()
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.option(
    "--job", type=click.Path(dir_okay=False, path_type=Path), help="A job file that the marks must belong to."
)
def measure(file: Path, job: Path | None) -> None:
    """Read a packet, sheet (PDF or SVG) or jig (SVG) back: how far each mark is from its plan."""
    from jiggen.build import measure as measured
    from jiggen.packetfile import is_dxf

    data = _read(file)
    if is_dxf(data):
        remedy = f"measure the SVG beside it, {file.with_suffix('.svg').name}; both were measured when they were made"
        fail([Problem("stop", str(file), "a DXF carries no plan of its marks", remedy)], BAD_INPUT)
    try:
        deviations, problems, fingerprint = measured(data)
    except ValueError as error:
        fail(
            [
                Problem(
                    "stop", str(file), str(error), "give a packet, sheet PDF, sheet SVG, jig SVG or scale page of ours"
                )
            ],
            BAD_INPUT,
        )
    another = _of_another_job(file, data, fingerprint, job)
    if another:  # how true its marks are says nothing of the job that is asked for
        fail(another, STOPPED)
    click.echo(
        f"{file}   fingerprint {fingerprint}" if fingerprint else f"{file}   as it is drawn, not as it was printed"
    )
    sheet = ""
    for found in deviations:
        if found.sheet != sheet:
            sheet = found.sheet
            own = [d.off for d in deviations if d.sheet == sheet and d.off is not None]
            what = "marks" if fingerprint else "lines"
            click.echo(f"{sheet}: {len(own)} {what} found, the worst {max(own, default=0.0):.4f} mm off")
        if found.off is None:
            click.echo(f"  {found.id:<40} not found")
        else:
            click.echo(f"  {found.id:<40} {found.off:.4f} mm")
    if not fingerprint:
        click.echo("print it at 100 %, measure both rulers and both diagonals, give what you read to jiggen printer")
    tell(problems)
    sys.exit(STOPPED if problems else FINE)


def _of_another_job(file: Path, data: bytes, fingerprint: str, job: Path | None) -> list[Problem]:
    """Whether the marks in a file belong to ``job``; to the job that rides in it where none is given."""
    from jiggen.build import fingerprint as print_of
    from jiggen.packetfile import is_pdf

    if not fingerprint or (job is None and not is_pdf(data)):  # a scale page is of no job
        return []
    own = print_of(_read_job(job or file)[0])
    if own == fingerprint:
        return []
    found = f"fingerprint {fingerprint}, but that of {job or 'the job in the file'} is {own}"
    return [Problem("stop", str(file), found, "make it again from the job that you build")]


@main.command()
@click.argument("job", required=False, type=click.Path(dir_okay=False, path_type=Path))
@click.option("--paper", type=PAPERS, help="Paper, instead of the job's.  [default: letter]")
@click.option("--metric", is_flag=True, help="A blank form in millimetres instead of inches.")
@_to("form.pdf")
@FORCE
def form(job: Path | None, paper: str | None, metric: bool, file: Path, force: bool) -> None:
    """Write the measure-up form: what to tape on site, for this job or blank."""
    from jiggen.build import form_file

    read = _read_job(job)[0] if job else None
    size = paper or (read.sheet.paper if read else "a4" if metric else "letter")
    with _job_errors():
        data = form_file(read, size, units="mm" if metric else "in")
    _write(file, data, force)
    click.echo(f"{file} written: each box names the key of the job file that it fills")


@main.command()
@click.option("--paper", type=PAPERS, default="letter", show_default=True)
@_to("scale.pdf")
@FORCE
def scale(paper: str, file: Path, force: bool) -> None:
    """Write the page with the two long rulers that proves a printer."""
    from jiggen.build import scale_file

    _write(file, scale_file(paper), force)
    click.echo(f"{file} written: print at 100 %, measure both rulers")


def _write(file: Path, data: bytes, force: bool) -> None:
    """Write one file; one that is there already is replaced only where that is asked for."""
    if not force and file.is_file():
        fail([Problem("stop", str(file), "the file is there already", "choose another name, or --force")], BAD_INPUT)
    with _writing(file):
        write_whole(file, data)


def _refuse_empty(options: dict[str, str | None]) -> None:
    """Stop where an option is given and names nothing, as one with an empty variable of the shell does."""
    empty = [name for name, text in options.items() if text is not None and not _names(text)]
    if empty:
        remedy = "name one at least, or leave it out"
        fail([Problem("stop", name, "found nothing", remedy) for name in empty], BAD_INPUT)


def _names(text: str | None) -> tuple[str, ...]:
    return tuple(part.strip() for part in (text or "").split(",") if part.strip())


def _make(job: Job, folder: Path, options: Options) -> None:
    from jiggen.build import ReadBackError, write

    _refuse_foreign(folder)
    try:
        with _job_errors(), _writing(folder), fresh_packet(folder) as fresh, _progress() as said:
            packet = write(job, fresh, options, said)
    except ReadBackError as error:
        fail(error.problems, NOT_WRITTEN)
    tell(packet.survey.problems)
    _summary(folder, packet)


def _summary(folder: Path, packet: Packet) -> None:
    found = packet.survey
    count = sum(drawn.count for drawn in (*found.samples, *found.sheets))
    worst = max((d.off for d in packet.deviations if d.off is not None), default=0.0)
    click.echo(f"{folder}: {len(packet.names)} files; packet.pdf has {packet.pages} pages of {found.paper.name},")
    more = f" and {len(found.samples)} to compare and practise with" if found.samples else ""
    sheets = f"{len(found.sheets)} sheet{'s' * (len(found.sheets) != 1)}"
    click.echo(f"    {count} of them for the {sheets}{more}")
    click.echo(f"read back: {len(packet.deviations)} marks, the worst {worst:.4f} mm off (0.02 is allowed)")
    for note in packet.notes:
        click.echo(note, err=True)
    if "packet.pdf" in packet.names:
        click.echo(f"print {folder / 'packet.pdf'} at 100 %, then check the rulers on every page")


def _refuse_foreign(folder: Path) -> None:
    """Stop before anything is made where the folder holds other things than a packet."""
    if not (folder.exists() or folder.is_symlink()):
        return
    if not folder.is_dir():
        fail([Problem("stop", str(folder), "this is a file", "choose a folder")], BAD_INPUT)
    with _writing(folder):
        strange = sorted(foreign(folder))
    if strange:
        found = f"the folder holds other things ({', '.join(strange[:3])})"
        fail([Problem("stop", str(folder), found, "choose an empty folder or an earlier packet's")], BAD_INPUT)


def _read(path: Path) -> bytes:
    try:
        return read_at_most(path, LARGEST)
    except OSError as error:
        fail([Problem("stop", str(path), f"cannot be read ({error.strerror})", "check the name")], BAD_INPUT)


def _read_job(path: Path) -> tuple[Job, Options, str]:
    """The job in a file, or in a packet with the options it was made with; and the name for its folder."""
    from jiggen.build import Options, options_from
    from jiggen.job.read import decode, read_job
    from jiggen.packetfile import job_text, made_with

    data = _read(path)
    try:
        text = job_text(data)
        made = options_from(made_with(data)) if text is not None else Options()
    except ValueError as error:
        remedy = "give a job file, or a packet or sheet PDF of ours"
        fail([Problem("stop", str(path), str(error), remedy)], BAD_INPUT)
    with _job_errors():
        job = read_job(decode(data, path.name) if text is None else text, path.name)
    return job, made, path.stem if text is None else _file_name(job.name)


def _file_name(words: str) -> str:
    """Words as the name of a file: small letters, figures and hyphens."""
    return re.sub(r"[^a-z0-9]+", "-", words.casefold()).strip("-") or "job"


@contextlib.contextmanager
def _job_errors() -> Iterator[None]:
    """Turn a JobError into its problems on stderr and the exit code: 1 where the plan has a stop, else 2."""
    try:
        yield
    except JobError as error:
        if not isinstance(error, StopError):
            fail(error.problems, BAD_INPUT)
        tell(error.problems)
        click.echo(not_made(error.problems), err=True)
        sys.exit(STOPPED)


@contextlib.contextmanager
def _writing(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        fail(
            [
                Problem(
                    "stop",
                    str(path),
                    f"cannot be written ({error.strerror or error})",
                    "check folder and space",
                )
            ],
            NOT_WRITTEN,
        )


@contextlib.contextmanager
def _progress() -> Iterator[Progress | None]:
    """A progress bar on a terminal, nothing elsewhere."""
    if not (sys.stderr and sys.stderr.isatty()):  # None where the shell closed it
        yield None
        return
    with click.progressbar(length=1, file=sys.stderr, label="making") as bar:

        def tell(stage: str, done: int, total: int) -> None:
            bar.length = total
            bar.update(done - bar.pos)

        yield tell
