"""Lengths and cables turned into words: the job's tape reading and the millimetres, a cable's label."""

from __future__ import annotations

import re
from math import ceil

from jiggen.job.model import Job
from jiggen.plan.model import Mark
from jiggen.units import MM_PER_INCH, N_PER_LBF, Tape, feet, mm_text, tape

FINEST = 64  # parts of an inch that drills, cables and walls are sold in
SAME = 0.05  # mm; what is as near to such a fraction is called by it: 4 mm and 5/32 in, one cable to whoever orders it
_OURS = re.compile(
    r"(?<![\w-])(?:posts?|bars?|toward|away|from|deck|open|side|face|faces|and|as|on|the|sheet|jig|test|comb|spheres|of|offcut)(?![\w-])"
)


def capitals(words: str) -> str:
    """``words`` with our own words in capitals and every name as it is: "3a toward 4b" becomes "3a TOWARD 4b"."""
    return _OURS.sub(lambda found: found[0].upper(), words)


def length(job: Job, mm: float) -> str:
    """A length in the job's tape and in mm: "27 15/16 in (709.6 mm)", "just under 1/4 in (6.2 mm)"."""
    if job.units == "mm":
        return f"{mm_text(mm)} mm"
    return f"{tape(mm, job.round_to).told} in ({mm_text(mm)} mm)"


def nominal(job: Job, mm: float) -> str:
    """A size of what is bought or drilled (a cable, a wall, a bore), as ``length``; in an inch job in the fraction that it is,
    to 1/64 in: "5/32 in (4.0 mm)"."""
    return f"{fraction(job, mm).told} in ({mm_text(mm)} mm)" if job.units == "in" else length(job, mm)


def fraction(job: Job, mm: float) -> Tape:
    """The fraction of an inch that a size is within ``SAME`` of, else its reading on the job's tape."""
    sold = tape(mm, MM_PER_INCH / FINEST)
    return sold if sold.reading and abs(sold.rest) <= SAME else tape(mm, job.round_to)


def tenth_up(mm: float) -> float:
    """A length that is needed, the next 0.1 mm up: told to the nearest it might not be enough."""
    return ceil(mm * 10.0 - 1e-6) / 10.0


def fine(job: Job, mm: float, places: int = 2) -> str:
    """A length too fine for a tape: "0.20 mm", in an inch job in thousandths first, "0.008 in (0.20 mm)"."""
    exact = f"{mm_text(mm, places)} mm"
    return exact if job.units == "mm" else f"{mm_text(mm / MM_PER_INCH, 3)} in ({exact})"


def sides(job: Job, *lengths: float, places: int = 1) -> str:
    """Lengths that make one size: "6.4 x 7.4 mm", in an inch job "1/4 x just under 5/16 in (6.4 x 7.4 mm)"."""
    exact = f"{' x '.join(mm_text(mm, places) for mm in lengths)} mm"
    if job.units == "mm":
        return exact
    return f"{' x '.join(tape(mm, job.round_to).told for mm in lengths)} in ({exact})"


def slot_size(job: Job, wide: float, long: float) -> str:
    """Width, as it is drilled, and length of a slot: "17/64 x 5/16 in (6.7 x 7.9 mm)"."""
    exact = f"{mm_text(wide)} x {mm_text(long)} mm"
    return exact if job.units == "mm" else f"{fraction(job, wide).told} x {tape(long, job.round_to).told} in ({exact})"


def apart(job: Job, *lengths: float) -> list[str]:
    """Lengths that are told beside each other, as ``length``; mm first where two of them read alike on a tape."""
    read = [tape(mm, job.round_to).told for mm in lengths]
    if job.units == "mm" or len(set(read)) == len(read):
        return [length(job, mm) for mm in lengths]
    return [f"{mm_text(mm)} mm ({words} in)" for mm, words in zip(lengths, read, strict=True)]


def long_length(job: Job, mm: float) -> str:
    """A length to cut or buy, in feet and inches in an inch job: "5 ft 10 in (1778.0 mm)"; "1778.0 mm" in a metric one."""
    return f"{mm_text(mm)} mm" if job.units == "mm" else f"{feet(mm, job.round_to)} ({mm_text(mm)} mm)"


def force(job: Job, newtons: float) -> str:
    """A force in the job's units."""
    if newtons > 1e9:
        return "no force"
    return f"{mm_text(newtons, 0)} N" if job.units == "mm" else f"{mm_text(newtons / N_PER_LBF, 0)} lbf"


def how_deep(job: Job, mark: Mark) -> str:
    """How far a hole goes: "through", "through wall, 3.0 mm", "48.0 mm deep", "47.2 mm deep, to meet 3/toward 4/1"."""
    if mark.wall:
        return f"through wall, {nominal(job, mark.wall)}"
    meets = f", to meet {mark.meets}" if mark.meets else ""
    return "through" if mark.through else f"{length(job, mark.depth)} deep{meets}"


def worked(job: Job, mark: Mark) -> str:
    """What is done to a drilled hole, or what it is for: "tap M6", "clearance for M6", "file to a slot"; "" for nothing."""
    if mark.tap:
        return f"tap {mark.tap}"
    if mark.clears:
        return f"clearance for {mark.clears}"
    return slot_made(job, mark)


def slot_made(job: Job, mark: Mark) -> str:
    """How a slanting cable's slot is made, or what the one round hole stands for; "" of any other hole."""
    if any(mark.replaces):
        return f"round, for a slot {slot_size(job, *mark.replaces)}"
    if not mark.slotted:
        return ""
    size = f"slot {slot_size(job, mark.diameter, mark.slotted)}"
    return f"{size}, drill one end and file to the line" if overlapping(mark) else f"{size}, drill both ends and file"


def overlapping(mark: Mark) -> bool:
    """Whether the two end holes of a slot run into each other, so that a drill walks from the second into the first."""
    return 0.0 < mark.slotted - mark.diameter < mark.diameter


def end_holes(job: Job, mark: Mark) -> str:
    """Where the end holes of a slot lie from the mark: "1.3 mm up and down", with what they lie sideways."""
    across, up = mark.slot
    parts = []
    if abs(up) >= 0.05:
        parts.append(f"{fine(job, abs(up), 1)} up and down")
    if abs(across) >= 0.05:
        ways = "right and left" if across * up >= 0.0 else "left and right"
        parts.append(f"{fine(job, abs(across), 1)} {ways}")
    return " and ".join(parts)


def cut_label(run: str, cable: int) -> str:
    """What a cable is called on its tag and in every list: "A11". A run whose name does not end in a letter gets a "#":
    "level1#11", so that no two cables of a job share a label and none reads as another run or as a date."""
    return f"{run}{cable}" if run[-1:].isalpha() else f"{run}#{cable}"


def whole_label(run: str, label: str) -> str:
    """A mark's label with the run that its cable bears the name of: "C7", "C7a"; one that begins with a letter of its own
    stands apart from the run's: "C-B2"."""
    if not label[:1].isdigit():
        return f"{run}-{label}"
    return f"{run}{label}" if run[-1:].isalpha() else f"{run}#{label}"


def toml_key(name: str) -> str:
    """A name as a key of a TOML file: quoted where it must be."""
    if re.fullmatch("[A-Za-z0-9_-]+", name):
        return name
    escaped = name.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'
