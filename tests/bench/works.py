"""What is timed, by name: whole commands from a cold start, whole packets, the stages of one, and one page drawn.

``COLD`` are command lines; ``WARM`` and ``stages()`` are functions without arguments that do the work once.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Any, NamedTuple

from bench.jobs_bench import demo_job, demo_survey, demo_text, different
from packets import write_packet

from jiggen.build import Options, Packet, build
from jiggen.build.survey import _chosen, survey
from jiggen.compose.bench import Room
from jiggen.compose.template import template
from jiggen.job.read import read_job
from jiggen.plan.make import make_plan
from jiggen.readback.pdf import read_pdf
from jiggen.readback.svg import read_svg
from jiggen.render.pdf import pdf
from jiggen.render.svg import svg
from jiggen.review import review
from jiggen.sheets.model import Page
from jiggen.sheets.paper import usable
from jiggen.sheets.tiling import pages as pages_of
from jiggen.verify import targets

MANY = 11  # sheets, for what a further page takes
UNREAD = """
import sys
from jiggen.build import packet
packet._checked_svg = packet._checked_pdf = lambda *given: []
from jiggen.cli import main
sys.argv[0] = "jiggen"
main()
"""
"""The command with reading back left out: only so can what it takes be told apart."""

Work = Callable[[], object]
PROJECT = Path(__file__).resolve().parents[2]
APART = """
import gc, re, resource, sys, tempfile
from pathlib import Path
from time import perf_counter

from jiggen.build import Options, write
from jiggen.build import model, packet
from jiggen.cli import MADE_BETWEEN
from jiggen.job.read import read_job
from jiggen.packetfolder import fresh_packet
from jiggen.render import pdf

gc.set_threshold(MADE_BETWEEN)  # as the command does
lists = 0.0

def timing(name, share=lambda given: 1.0, where=packet):
    work = getattr(where, name)
    def timed(*given, **named):
        global lists
        start = perf_counter()
        try:
            return work(*given, **named)
        finally:
            lists += share(given) * (perf_counter() - start)
    setattr(where, name, timed)

def made(text):
    with tempfile.TemporaryDirectory() as place, fresh_packet(Path(place) / "packet") as fresh:
        write(read_job(text), fresh, Options(draft=True))

small, text = sys.stdin.read().split(chr(0))
made(small)  # modules and fonts are there by then
for name in ("front", "drill_list", "cut_list", "hardware_list", "to_json"):
    timing(name)
timing("document", where=model)  # what plan.json lists
timing("_attached", where=pdf)  # plan.json in the files, packed
timing("part", where=packet.Binding)  # the pages before the sheets, put into the file
# of reading back, the share of the pages without a sheet
timing("_checked_pdf", lambda given: given[1].placed.count(None) / len(given[1].placed))
start = perf_counter()
made(text)
took = perf_counter() - start
status = Path("/proc/self/status")
if status.exists():  # ru_maxrss there begins with what the parent held
    most = int(re.search(r"VmHWM:\\s+(\\d+) kB", status.read_text())[1])
else:
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // (1 if sys.platform != "darwin" else 1024)
print(took, lists, most)
"""


class Apart(NamedTuple):
    """What a packet took in a process of its own: seconds in all, those for what lists every post (the pages before the
    sheets, drawn, put into the file and read back, the lists to buy and drill by, plan.json and what is packed of it into PDFs), and the most memory that was
    held, MB."""

    seconds: float
    lists: float
    megabytes: float


def timed(work: Work, rounds: int) -> float:
    """Median of ``rounds`` calls, seconds."""
    times = []
    for _ in range(rounds):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return median(times)


def in_turn(works: Mapping[str, Work], rounds: int) -> dict[str, float]:
    """Median of each, seconds; one call of each, then again, so that what else runs falls on all alike."""
    times: dict[str, list[float]] = {name: [] for name in works}
    for _ in range(rounds):
        for name, work in works.items():
            start = perf_counter()
            work()
            times[name].append(perf_counter() - start)
    return {name: median(found) for name, found in times.items()}


def cold(folder: Path) -> dict[str, Work]:
    """Commands in a process of their own, compiled modules kept as they are where jiggen is installed."""
    (folder / "one.toml").write_text(different(2), encoding="utf-8")
    (folder / "few.toml").write_text(different(MANY + 1), encoding="utf-8")
    (folder / "demo.toml").write_text(demo_text(), encoding="utf-8")
    commands: dict[str, Sequence[str]] = {
        "bare Python": ["-c", "pass"],
        "jiggen --help": ["-m", "jiggen", "--help"],
        "plan of the demo": ["-m", "jiggen", "plan", "demo.toml"],
        "make of one sheet": ["-m", "jiggen", *_sheets("one.toml", 1)],
        "make of one sheet, not read back": ["-c", UNREAD, *_sheets("one.toml", 1)],
        f"1 of {MANY} sheets": ["-m", "jiggen", *_sheets("few.toml", 1)],
        f"1 of {MANY} sheets, not read back": ["-c", UNREAD, *_sheets("few.toml", 1)],
        f"all of {MANY} sheets": ["-m", "jiggen", *_sheets("few.toml", MANY)],
        f"all of {MANY} sheets, not read back": ["-c", UNREAD, *_sheets("few.toml", MANY)],
        "make of the demo": ["-m", "jiggen", "make", "demo.toml", "--to", "demo"],
    }
    kept = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    kept |= {"PYTHONPATH": str(PROJECT), "PYTHONPYCACHEPREFIX": str(folder / "compiled")}
    return {
        name: partial(subprocess.run, [sys.executable, *words], cwd=folder, env=kept, check=True, capture_output=True)
        for name, words in commands.items()
    }


def _sheets(job: str, count: int) -> list[str]:
    only = ",".join(f"S{number}" for number in range(1, count + 1))
    return ["make", job, "--to", f"made{count}-{job}", "--only", only]


def further_pages() -> int:
    """How many pages more ``MANY`` sheets have than the first of them."""
    counts = [one.count for one in survey(read_job(different(MANY + 1))).sheets]
    return sum(counts[1:MANY])


def built(text: str) -> Packet:
    return build(read_job(text), Options(draft=True))


def warm(few: int = 60) -> dict[str, Work]:
    """Whole packets, all in memory. ``few``: posts all different."""
    return {
        "the demo": lambda: build(demo_job()),
        f"{few} posts, all different": partial(built, different(few)),
    }


def stages() -> dict[str, Work]:
    """The steps of the demo's packet, each by itself."""
    job, found = demo_job(), demo_survey()
    plan, chosen = found.plan, found.paper
    room = Room(*usable(chosen), job.sheet.overlap)
    groups = _chosen(plan, Options())
    sheets = {group.id: template(plan, group, room) for group in groups}
    faces = {group.id: [plan.face_by_id[name] for name in group.strip] for group in groups}
    drawn = [page for one in (*found.samples, *found.sheets) for page in one.tiled.pages]
    pages, svgs = pdf(drawn, title="Bench"), [svg(one.sheet.drawing) for one in found.sheets]
    files = build(job).files
    place = tempfile.TemporaryDirectory()  # goes with the works below

    def write() -> None:
        write_packet(Path(place.name) / "packet", files)

    return {
        "read the job": demo_job,
        "plan": lambda: make_plan(job),
        "review": lambda: review(plan),
        "compose the sheets": lambda: [template(plan, group, room) for group in groups],
        "cut into pages": lambda: [
            pages_of(sheets[group.id], chosen, job.sheet.overlap, found.foot).pages for group in groups
        ],
        "targets": lambda: [targets(group, faces[group.id]) for group in groups],
        "render PDF": lambda: pdf(drawn, title="Bench"),
        "render SVG": lambda: [svg(one.sheet.drawing) for one in found.sheets],
        "read the PDF back": lambda: read_pdf(pages, unnamed=False),
        "read the SVG back": lambda: [read_svg(data) for data in svgs],
        "write to disk": write,
    }


def one_page() -> Page:
    """The page of the demo's first sheet with the most holes; of those, the fullest."""
    holes = lambda page: sum("mark" in dict(getattr(shape, "data", None) or ()) for shape in page.content)  # noqa: E731
    return max(demo_survey().sheets[0].tiled.pages, key=lambda page: (holes(page), len(page.content)))


def drawing() -> dict[str, Work]:
    """One template page by us and by other libraries."""
    from bench.rivals import RIVALS, flat

    page = one_page()
    same = flat(page)
    works: dict[str, Work] = {"jiggen": lambda: pdf([page], title="Bench")}
    return works | {name: partial(work, same) for name, work in RIVALS.items()}


def apart(text: str) -> Apart:
    """A packet made into a folder, as the command does it, in a process of its own that has made a small one before."""
    there: dict[str, Any] = {**os.environ, "PYTHONPATH": str(PROJECT)}
    command = [sys.executable, "-c", APART]
    given = different(2) + chr(0) + text
    done = subprocess.run(command, input=given, env=there, capture_output=True, text=True, check=True)
    seconds, lists, kilobytes = map(float, done.stdout.split())
    return Apart(seconds, lists, kilobytes / 1024.0)


def apart_in_turn(texts: Mapping[int, str], rounds: int) -> dict[int, Apart]:
    """``apart`` of each text, one after another and then again, so that what else runs falls on all alike: medians of
    ``rounds``, and the most memory of any."""
    found: dict[int, list[Apart]] = {name: [] for name in texts}
    for _ in range(rounds):
        for name, text in texts.items():
            found[name].append(apart(text))
    return {
        name: Apart(
            median(one.seconds for one in runs), median(one.lists for one in runs), max(one.megabytes for one in runs)
        )
        for name, runs in found.items()
    }


def pages(packet: Packet) -> int:
    return sum(one.count for one in (*packet.survey.samples, *packet.survey.sheets))
