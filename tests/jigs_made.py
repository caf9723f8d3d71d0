"""Jigs of the sample jobs, and their parts cut out again: contours as drawn, with the kerf put back by another library."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from math import cos, pi, sin

from packets import PROJECT, job
from shapely.geometry import Polygon

from jiggen.compose.jig import Layout, layout, operations
from jiggen.geometry import Point, Vector
from jiggen.job.model import JigWish, Job
from jiggen.job.read import read_job
from jiggen.plan.jigs.make import jigs
from jiggen.plan.jigs.model import Jig, Part
from jiggen.plan.make import make_plan
from jiggen.plan.model import Plan
from jiggen.readback.contour import Contour
from jiggen.readback.dxf import read_dxf, read_dxf_contours
from jiggen.render.dxf import dxf

WISH = JigWish(5.9944, 0.2, (600.0, 400.0), (1219.2, 609.6))
JOBS = ("example", "stair-up", "ramp", "corner-45-bisect", "rail-over-posts", "height-line", "deck-datum", "sampler")


@dataclass(frozen=True)
class Cut:
    """A part as it comes off the machine: outline with its tabs, slots and holes, in the part's own frame."""

    part: Part
    outline: Polygon
    slots: tuple[Polygon, ...]
    holes: tuple[tuple[str, str, Polygon], ...]  # mark, use, contour


@cache
def shop_job(name: str) -> Job:
    """A sample job with a jig wish; "sampler" is the demo of every shape."""
    if name == "sampler":
        text = (PROJECT / "jiggen" / "job" / "demo_all.toml").read_text(encoding="utf-8")
        found = read_job(text, "demo_all.toml")
    else:
        found = job(name)
    return replace(found, jig=WISH)


@cache
def shop_plan(name: str) -> Plan:
    return make_plan(shop_job(name))


def with_wish(name: str, **changes: object) -> Plan:
    """The plan of a sample job with another board, kerf, bed or bushing."""
    return make_plan(replace(shop_job(name), jig=replace(WISH, **changes)))  # type: ignore[arg-type]


@cache
def all_jigs(name: str) -> tuple[Jig, ...]:
    plan = shop_plan(name)
    return tuple(jig for group in plan.groups for jig in jigs(plan, group))


@cache
def laid_out(name: str, jig: str) -> Layout:
    return layout(next(j for j in all_jigs(name) if j.id == jig))


def every() -> list[tuple[str, str]]:
    """(job, jig) of all sample jigs that have parts."""
    return [(name, jig.id) for name in JOBS for jig in all_jigs(name) if jig.parts]


def one(name: str, jig: str) -> Jig:
    return next(j for j in all_jigs(name) if j.id == jig)


@cache
def cut_out(name: str, jig: str) -> dict[str, Cut]:
    """All parts of a jig, cut from its DXFs: each contour moved back by half the kerf and into the part's frame."""
    found = layout_of(one(name, jig), laid_out(name, jig))
    return {cut.part.id: cut for cut in found}


def layout_of(jig: Jig, made: Layout) -> list[Cut]:
    half = jig.wish.kerf / 2.0
    files = [dxf(drawing, operations(jig.wish)) for drawing in made.drawings]
    lines = [(read_dxf(data), read_dxf_contours(data)) for data in files]
    cuts = []
    for laid in made.laid:
        circles, contours = lines[laid.sheet]

        def home(x: float, y: float, shift: Point = laid.shift, turned: int = laid.turned) -> tuple[float, float]:
            x, y = x - shift.x, y - shift.y
            return (y, -x) if turned else (x, y)

        def polygon(line: Contour, grow: float, home=home) -> Polygon:  # type: ignore[no-untyped-def]
            return Polygon([home(x, y) for x, y in line.points]).buffer(grow, join_style="mitre", mitre_limit=20.0)

        own = [c for c in contours if c.data.get("part") == laid.part.id and c.data["layer"] == "cut"]
        outer = [polygon(c, -half) for c in own if c.data["use"] == "outline"]
        slots = tuple(polygon(c, half) for c in own if c.data["use"] == "slot")
        holes = [(c.data.get("mark", ""), c.data["use"], polygon(c, half)) for c in own if "mark" in c.data]
        for circle in circles.circles:
            if circle.data.get("part") == laid.part.id and circle.data["use"] != "outline":
                rim = Point(*home(circle.x, circle.y))
                ring = _disc(rim, circle.rx + half)
                holes.append((circle.data.get("mark", ""), circle.data["use"], ring))
        cuts.append(Cut(laid.part, outer[0] if outer else Polygon(), slots, tuple(holes)))
    return cuts


def _disc(centre: Point, radius: float) -> Polygon:
    """A circle as a polygon that goes round it: 360 sides outside of it by no more than 4e-5 of its radius."""
    r = radius / cos(pi / 360.0)
    return Polygon([(centre.x + r * cos(i * pi / 180.0), centre.y + r * sin(i * pi / 180.0)) for i in range(360)])


def world(plan: Plan, jig: Jig, point: Vector) -> Vector:
    """A point of the jig's frame in the world: u right of the face's centre line, v over the datum, w out of the face."""
    face = plan.face_by_id[jig.face]
    group = next(g for g in plan.groups if jig.face in g.faces)
    under = face.underside[0]
    seat = face.tread[0] if group.datum == "deck" else under if group.datum == "underside" else under + face.rail_up
    frame = face.frame
    return (
        frame.origin.plus(frame.right.times(point.x))
        .plus(frame.up.times(seat + point.y))
        .plus(frame.normal.times(point.z))
    )
