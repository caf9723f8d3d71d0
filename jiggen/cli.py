"""The command line turned into builds and files: arguments, files, exit codes. No geometry."""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import sys
import tempfile
from collections.abc import Iterable, Iterator, Mapping
from importlib import resources
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING, NoReturn

import click

from jiggen.problems import JobError, Problem, StopError

if TYPE_CHECKING:
    from jiggen.build import Packet, Progress
    from jiggen.job.model import Job

FINE, STOPPED, BAD_INPUT, NOT_WRITTEN = 0, 1, 2, 3
PACKET_FILE = re.compile(
    r"packet\.pdf|drill-list\.csv|cut-list\.csv|hardware\.csv|plan\.json|job\.toml|preview\.png"
    r"|sheets/S\d+\.(svg|pdf)|jigs/[A-Za-z0-9-]+\.(svg|dxf)"
)
PAPERS = click.Choice(["letter", "a4", "legal", "tabloid", "a3"])


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80})
@click.version_option(package_name="jiggen", prog_name="jiggen")
def main() -> None:
    """Drilling templates and schedules for stainless cable guards.

    One job file goes in, one packet comes out: a true-scale sheet for each kind of post, drill list,
    hardware, cable cuts. Problems go to stderr, results to stdout.
    """


@main.command()
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--metric", is_flag=True, help="Millimetres and A4 instead of inches and letter.")
def start(file: Path, metric: bool) -> None:
    """Write a commented job file to begin from."""
    from jiggen.job.start import start as first_job

    if file.exists():
        _fail([Problem("stop", str(file), "the file is there already", "choose another name")], BAD_INPUT)
    with _writing(file):
        file.write_text(first_job(metric), encoding="utf-8")
    click.echo(f"{file} written: measure, change the figures, then  jiggen plan {file}")


@main.command()
@click.argument("job", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="The plan as plan.json.")
@click.option("--paper", type=PAPERS, help="Paper, instead of the job's.")
def plan(job: Path, as_json: bool, paper: str | None) -> None:
    """Show layout, drill list and every problem of a job."""
    from jiggen.build import Options, survey
    from jiggen.plan.document import to_json

    read = _read_job(job)
    with _job_errors():
        found = survey(read, Options(paper=paper))
    if as_json:
        click.echo(to_json(found.document), nl=False)
    else:
        for line in found.text():
            click.echo(line)
    _tell(found.problems)
    sys.exit(STOPPED if found.stops else FINE)


@main.command()
@click.argument("job", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--to", "folder", type=click.Path(path_type=Path), help="Folder for the packet.")
@click.option("--paper", type=PAPERS, help="Paper, instead of the job's.")
@click.option("--only", help="Sheets to make, such as S3 or S1,S4.")
@click.option("--posts", help="Make the sheets that serve these posts, such as 4,6.")
@click.option("--draft", is_flag=True, help="Make it in spite of a stop, with DRAFT on every page.")
def make(job: Path, folder: Path | None, paper: str | None, only: str | None, posts: str | None, draft: bool) -> None:
    """Make the packet of a job: sheets, lists, plan; each file read back and measured."""
    from jiggen.build import Options

    options = Options(paper, _names(only), _names(posts), draft)
    _make(_read_job(job), folder or Path(f"{job.stem}-packet"), options)


@main.command()
@click.option("--all", "every", is_flag=True, help="The second demo job: every shape of post and every role.")
@click.option("--to", "folder", type=click.Path(path_type=Path), help="Folder, instead of outputs/demo(-all).")
@click.option("--paper", type=PAPERS, help="Paper, instead of the demo job's.")
def demo(every: bool, folder: Path | None, paper: str | None) -> None:
    """Make the packet of the demo job, in outputs/demo (outputs/demo-all)."""
    from jiggen.build import Options
    from jiggen.job.read import read_job

    name, place = ("demo_all.toml", "outputs/demo-all") if every else ("demo.toml", "outputs/demo")
    text = resources.files("jiggen.job").joinpath(name).read_text(encoding="utf-8")
    with _job_errors():
        job = read_job(text, name)
    _make(job, folder or Path(place), Options(paper=paper))


@main.command()
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
def measure(file: Path) -> None:
    """Read a packet or sheet (PDF or SVG) back: how far each mark is from its plan."""
    from jiggen.build import measure as measured

    data = _read(file)
    try:
        deviations, problems, fingerprint = measured(data)
    except ValueError as error:
        _fail(
            [Problem("stop", str(file), str(error), "give a packet, sheet PDF or sheet SVG of ours")],
            BAD_INPUT,
        )
    click.echo(f"{file}   fingerprint {fingerprint}")
    sheet = ""
    for found in deviations:
        if found.sheet != sheet:
            sheet = found.sheet
            own = [d.off for d in deviations if d.sheet == sheet and d.off is not None]
            click.echo(f"{sheet}: {len(own)} marks found, the worst {max(own, default=0.0):.4f} mm off")
        if found.off is None:
            click.echo(f"  {found.id:<40} not found")
        else:
            click.echo(f"  {found.id:<40} {found.off:.4f} mm")
    _tell(problems)
    sys.exit(STOPPED if problems else FINE)


@main.command()
@click.option("--paper", type=PAPERS, default="letter", show_default=True)
@click.option(
    "--to",
    "file",
    type=click.Path(dir_okay=False, path_type=Path),
    default=Path("scale.pdf"),
    show_default=True,
)
def scale(paper: str, file: Path) -> None:
    """Write the page with the two long rulers that proves a printer."""
    from jiggen.build import scale_file
    from jiggen.units import MM_PER_INCH

    data = scale_file(paper, MM_PER_INCH / 2.0)
    with _writing(file):
        file.write_bytes(data)
    click.echo(f"{file} written: print at 100 %, measure both rulers")


def _names(text: str | None) -> tuple[str, ...]:
    return tuple(part.strip() for part in (text or "").split(",") if part.strip())


def _make(job: Job, folder: Path, options: object) -> None:
    from jiggen.build import Options, ReadBackError, build

    assert isinstance(options, Options)
    _refuse_foreign(folder)
    try:
        with _job_errors(), _progress() as tell:
            packet = build(job, options, tell)
    except ReadBackError as error:
        _fail(error.problems, NOT_WRITTEN)
    with _writing(folder):
        write_packet(folder, packet.files)
    _tell(packet.survey.problems)
    _summary(folder, packet)


def _summary(folder: Path, packet: Packet) -> None:
    found = packet.survey
    count = sum(len(drawn.tiled.pages) for drawn in (*found.samples, *found.sheets))
    worst = max((d.off for d in packet.deviations if d.off is not None), default=0.0)
    click.echo(
        f"{folder}: {len(packet.files)} files, {len(found.sheets)} sheets on {count} pages of {found.paper.name}"
    )
    click.echo(f"read back: {len(packet.deviations)} marks, the worst {worst:.4f} mm off (0.02 is allowed)")
    for note in packet.notes:
        click.echo(note, err=True)
    if "packet.pdf" in packet.files:
        click.echo(f"print {folder / 'packet.pdf'} at 100 %, then check the rulers on every page")


def _refuse_foreign(folder: Path) -> None:
    """Stop before anything is made where the folder holds other things than a packet."""
    if not (folder.exists() or folder.is_symlink()):
        return
    if not folder.is_dir():
        _fail([Problem("stop", str(folder), "this is a file", "choose a folder")], BAD_INPUT)
    with _writing(folder):
        others = sorted(_others(folder))
    if others:
        found = f"the folder holds other things ({', '.join(others[:3])})"
        _fail([Problem("stop", str(folder), found, "choose an empty folder or an earlier packet's")], BAD_INPUT)


def _others(folder: Path) -> Iterator[str]:
    """What in a folder is no file of a packet: anything of another name or place, links, folders for files."""
    for path in folder.rglob("*"):
        name = path.relative_to(folder).as_posix()
        fine = name in ("sheets", "jigs") if path.is_dir() else PACKET_FILE.fullmatch(name) is not None
        if path.is_symlink() or not fine:
            yield name


def write_packet(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write every file beside the folder, then put the whole in its place; an earlier packet gives way at the end."""
    folder = Path(os.path.abspath(folder))
    folder.parent.mkdir(parents=True, exist_ok=True)
    fresh = Path(tempfile.mkdtemp(prefix=f".{folder.name}-new-", dir=folder.parent))
    try:
        for name, data in files.items():
            path = fresh / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data)
        os.chmod(fresh, 0o755)
        if folder.exists():
            old = Path(tempfile.mkdtemp(prefix=f".{folder.name}-old-", dir=folder.parent))
            os.rename(folder, old / folder.name)
            try:
                os.rename(fresh, folder)
            except OSError:
                os.rename(old / folder.name, folder)
                raise
            finally:
                shutil.rmtree(old, ignore_errors=True)
        else:
            os.rename(fresh, folder)
    except BaseException:
        shutil.rmtree(fresh, ignore_errors=True)
        raise


def _read(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        _fail([Problem("stop", str(path), f"cannot be read ({error.strerror})", "check the name")], BAD_INPUT)


def _read_job(path: Path) -> Job:
    from jiggen.job.read import decode, read_job

    data = _read(path)
    with _job_errors():
        return read_job(decode(data, path.name), path.name)


@contextlib.contextmanager
def _job_errors() -> Iterator[None]:
    """Turn a JobError into its problems on stderr and the exit code: 1 where the plan has a stop, else 2."""
    try:
        yield
    except JobError as error:
        _fail(error.problems, STOPPED if isinstance(error, StopError) else BAD_INPUT)


@contextlib.contextmanager
def _writing(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        _fail(
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
    if not sys.stderr.isatty():
        yield None
        return
    with click.progressbar(length=1, file=sys.stderr, label="making") as bar:

        def tell(stage: str, done: int, total: int) -> None:
            bar.length = total
            bar.update(done - bar.pos)

        yield tell


def _tell(problems: Iterable[Problem]) -> None:
    for problem in problems:
        source = f" [{problem.source}]" if problem.source else ""
        text = f"{problem.level}: {problem.where}: {problem.found}; {problem.remedy}{source}"
        for line in wrap(text, 80, subsequent_indent="    ", break_long_words=False, break_on_hyphens=False):
            click.echo(line, err=True)


def _fail(problems: Iterable[Problem], code: int) -> NoReturn:
    _tell(problems)
    sys.exit(code)
