"""Fittings that stand square to their face turned into problems: cables that leave at an angle, studs behind a wall."""

from __future__ import annotations

from math import acos, atan, cos, degrees, radians

from jiggen.job.model import Fitting, Job, PostKind
from jiggen.plan.holes import hollow_wall
from jiggen.plan.model import PostFace, RunLine
from jiggen.plan.words import length, nominal
from jiggen.problems import Problem
from jiggen.units import degrees_text

MOST_BENT = radians(5.0)  # between a rigid fitting and its cable; common practice, no source
SIDE_PLAY = radians(1.0)  # sideways, of one that swivels up and down, on its pin; common practice, no source
LEAST_TOLD = radians(0.05)  # under it an angle is told as 0.0 degrees
ASKEW = "is rigid and screwed square"
UNHELD = "nothing holds it behind a wall"


def leaving(slope: float, skew: float) -> float:
    """The angle between a cable and the face's normal, radians.

    ``slope``: of the cable, rise over level run; ``skew``: between the normal and the run in plan, radians.
    """
    return acos(min(1.0, cos(atan(slope)) * cos(skew)))


def square_to_its_face(where: str, fitting: Fitting, line: RunLine, skew: float) -> Problem:
    """A rigid fitting whose cables leave their face at an angle: a stop over 5 degrees, else a check."""
    angle = leaving(line.slope, skew)
    bends = angle > MOST_BENT + 1e-9
    most = f": over {degrees_text(MOST_BENT)} degrees the cable is bent where it enters, and the run's line missed"
    turning = "swivels any way" if abs(skew) > 1e-6 else "pivots"
    return Problem(
        "stop" if bends else "check",
        where,
        f"{fitting.name} {ASKEW}, the cables leave it at {degrees(angle):.1f} degrees{most if bends else ''}",
        f"use one that {turning}, or one that is bored at the cable's angle",
        "common practice, no source" if bends else "",
    )


def unheld(job: Job, where: str, fitting: Fitting, kind: PostKind) -> Problem | None:
    """A stop where a stud for a blind hole in wood ends in the air inside a hollow post; None where it does not."""
    wall = hollow_wall(kind)
    if not wall or fitting.bore is None or fitting.bore_depth is None or fitting.bore_depth <= wall or fitting.screws:
        return None
    return Problem(
        "stop",
        where,
        f"{fitting.name} goes {length(job, fitting.bore_depth)} into a hole of that depth, the post is hollow with a wall"
        f" of {nominal(job, wall)}: {UNHELD}",
        "use a stud that goes through the post (washer = ... in the place of bore_depth), or a plate for metal",
    )


def coming_out(job: Job, face: PostFace) -> Problem | None:
    """A check where a stud that ends in its post, by its bore's depth, is longer than the post is thick there; None where
    none is. In a hollow post that is told by ``unheld``."""
    fittings = [job.fittings[name] for name in face.fittings]
    deep = next((fitting.bore_depth for fitting in fittings if fitting.bore_depth is not None), None)
    bores = [mark for mark in face.marks if mark.purpose == "cable" and mark.through and not mark.wall]
    if deep is None or not bores:
        return None
    return Problem(
        "check",
        face.id,
        f"the hole of {face.fittings[0]} is {length(job, deep)} deep, the post {length(job, bores[0].depth)} there:"
        " it comes out at the other side",
        "use a shorter one with its bore_depth, or one that goes through (washer = ... in the place of bore_depth)",
    )
