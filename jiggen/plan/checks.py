"""Faces and marks turned into problems: what cannot be drilled, or not with this fitting."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from difflib import get_close_matches
from math import sqrt

from jiggen.handbook.screw_lengths import at_least, at_most
from jiggen.handbook.screws import Screw, finer
from jiggen.handbook.woods import material_names
from jiggen.job.model import Fitting, Job, Stair
from jiggen.job.settings import SPOOLS
from jiggen.job.usual import FOR_METAL
from jiggen.plan.faces import View
from jiggen.plan.holes import LEAST_THREADS, hollow_wall, screw_trouble, too_thin
from jiggen.plan.lines import Layout, Stand
from jiggen.plan.marks import edge_room
from jiggen.plan.model import Mark, Post, PostFace, RunLine
from jiggen.plan.rigid import LEAST_TOLD, SIDE_PLAY, leaving, square_to_its_face, unheld
from jiggen.plan.shop import CableCut
from jiggen.plan.takeoff import rounded_up
from jiggen.plan.words import cut_label, length, long_length, nominal, tenth_up
from jiggen.problems import Cure, Problem
from jiggen.units import degrees_text, mm_text

LEAST_EDGE = 10.0
SKEWED = 1e-6
SQUARE_FACES = "turn the post until its faces are square to the cables"
STANDS_OFF = 0.5  # mm; what a flat plate's edges may stand off a round post unsaid: screws draw it in (our choice)


def fitting_problems(job: Job, stand: Stand, view: View) -> Iterator[Problem]:
    """Fittings that cannot take the angle at which their cables leave the face."""
    where = f"{stand.id}/{view.name}"
    guard = view.line.guard
    for name in dict.fromkeys((guard.bracket, guard.bottom_bracket if guard.bottom_rail else None)):
        if name and not stand.between:
            yield from _screw_problem(job, where, stand, name, job.brackets[name].screw)
            if job.brackets[name].measure_yours:
                yield _generic("bracket", name)
    fitting = job.fittings[view.fitting] if view.fitting else None
    if fitting is None:
        return
    yield from _screw_problem(job, where, stand, fitting.name, fitting.screw)
    yield from _flat_on_round(job, stand, fitting)
    in_air = unheld(job, where, fitting, stand.kind)
    if in_air:
        yield in_air
    if fitting.pivot is None:
        if leaving(view.line.slope, view.skew) > LEAST_TOLD and not fitting.at_rake:
            yield square_to_its_face(where, fitting, view.line, view.skew)
    elif abs(view.skew) > SIDE_PLAY and fitting.swivels == "up-down":
        angle = degrees_text(abs(view.skew))
        yield Problem(
            "stop",
            where,
            f"{fitting.name} swivels up and down only, the cables leave {angle} degrees off square in plan",
            "wedge the face, or use a fitting that swivels any way",
        )
    if fitting.measure_yours:
        yield _generic("fitting", fitting.name)


def _flat_on_round(job: Job, stand: Stand, fitting: Fitting) -> Iterator[Problem]:
    """A plate that touches a round post along one line, and how far its edges stand off: R - sqrt(R^2 - (w/2)^2)."""
    if stand.kind.shape != "round":
        return
    radius, half = stand.kind.along / 2.0, fitting.outline[0] / 2.0
    off = radius - sqrt(max(radius * radius - half * half, 0.0))
    if off < STANDS_OFF:
        return
    wide = length(job, fitting.outline[0])
    planed = f"plane a flat {wide} wide on the post, " if stand.kind.wall is None and half < radius else ""
    yield Problem(
        "check",
        f"post.{stand.kind.name}",
        f"{fitting.name} is flat and {wide} wide: on this round post it touches along its middle alone, its edges stand"
        f" off {length(job, off)}",
        f"put a saddle washer under it, {planed}or use a narrower plate",
        "geometry: R - sqrt(R^2 - (w/2)^2)",
    )


def _generic(what: str, name: str) -> Problem:
    """What is said of a piece that ships, whose sizes are made up."""
    return Problem(
        "check",
        f"{what}.{name}",
        f"its figures are a plausible example, not those of the {what} in your hand",
        f'measure yours and write them in [{what}."{name}"]',
    )


def _screw_problem(job: Job, where: str, stand: Stand, name: str, screw: Screw | None) -> Iterator[Problem]:
    trouble = screw_trouble(stand.kind, screw) if screw else ""
    if trouble and screw:
        found = f"{name} is held by {screw.text} in a post of {stand.kind.material.name}"
        twin = name + FOR_METAL
        easy = f'use "{twin}", or ' if twin in job.fittings or twin in job.brackets else ""
        yield Problem("stop", where, found, easy + trouble)
    elif screw and screw.pitch is not None and too_thin(stand.kind, screw):
        wall = stand.kind.wall if stand.kind.wall is not None else min(stand.kind.along, stand.kind.across)
        fine = finer(screw, wall, LEAST_THREADS)
        least = length(job, LEAST_THREADS * screw.pitch)
        yield Problem(
            "check",
            f"post.{stand.kind.name}",
            f"its wall of {nominal(job, wall)} holds {wall / screw.pitch:.1f} threads of {screw.text} ({name}), 3 are the"
            " least: its holes are drawn for clearance, not to be tapped",
            f"set rivet nuts of {screw.size} (drill as their maker says), use a wall of {least} or more, put a bolt through"
            f' (screw = "bolt {screw.size} x ...")' + (f", or use {fine}" if fine else ""),
            "thread as deep as the screw is thick, 3 pitches at least: common practice, no source",
        )


def missed_problems(stand: Stand, view: View) -> Iterator[Problem]:
    """Cables that pass beside a round post."""
    if not view.frame.radius:
        return
    missed = [n for n, drop in enumerate(view.line.drops, 1) if view.frame.meets(view.line.line(drop)) is None]
    if missed:
        yield Problem(
            "stop",
            f"{stand.id}/{view.name}",
            f"{len(missed)} of its cables pass beside the post, cable {missed[0]} first",
            "measure the lean of this post and of the run's end posts again",
        )


def edge_problems(job: Job, face: PostFace, shared: bool, over: bool) -> Iterator[Problem]:
    """Lines that leave their face at its edge or beyond it, and holes too near an edge.

    ``shared``: two runs meet at the post. ``over``: it ends under its rail.
    """
    least = job.min_edge if job.min_edge is not None else LEAST_EDGE
    for purpose in ("cable", "screw", "bracket", "wire"):
        marks = [mark for mark in face.marks if mark.purpose == purpose]
        near = [mark for mark in marks if edge_room(face, mark) < _least(purpose, mark, least) - 1e-9]
        if not near:
            continue
        worst = min(near, key=lambda mark: edge_room(face, mark))
        room = edge_room(face, worst)
        told = f"{length(job, room)} from the face's edge" if room >= 0 else f"{length(job, -room)} beyond its edge"
        others = f" (and {len(near) - 1} more)" if len(near) > 1 else ""
        corner = abs(face.skew) > SKEWED and shared
        remedy = _narrower(job, face, worst, _least(purpose, worst, least) - room, corner)
        yield Problem("stop", worst.id, f"{purpose} mark is {told}{others}", remedy)
    if over:
        yield from _top_problems(job, face, least)


def _narrower(job: Job, face: PostFace, mark: Mark, short: float, corner: bool) -> str:
    """What leaves the mark that is too near its face's edge by ``short`` mm its room, in words."""
    ways = ["two posts at the corner"] if corner else []
    piece = next((o for o in face.outlines if mark.purpose == o.purpose or mark.cable == o.cable is not None), None)
    off = (
        (mark.u - piece.u) * (1.0 if mark.u >= 0.0 else -1.0) if piece and mark.purpose in ("screw", "bracket") else 0.0
    )
    if off >= short:
        ways.append(f"a piece whose screws lie {length(job, tenth_up(short))} nearer to its middle")
    if ways:
        return f"use {' or '.join(ways)}"
    if abs(face.skew) > SKEWED:
        return SQUARE_FACES
    return "use another post, or measure its lean again" if job.as_built else "use another post"


def _top_problems(job: Job, face: PostFace, least: float) -> Iterator[Problem]:
    """The highest screw and the highest hole, where too near the top of a post that ends under its rail."""
    for what, most in (("screw", 0.0), ("cable", least)):
        marks = [mark for mark in face.marks if mark.purpose == what]
        top = min(marks, key=lambda mark: mark.drop, default=None)
        if top is None or top.drop >= (most or 4.0 * top.body):
            continue
        says = f"{length(job, most)} is the least" if most else f"4 diameters are {length(job, 4.0 * top.body)}"
        yield Problem(
            "stop",
            top.id,
            f"the {what if what == 'screw' else 'hole'} is {length(job, top.drop)} from the post's top, {says}",
            "move the first cable down",
            "" if most else "loaded end, NDS, from memory",
        )


def _least(purpose: str, mark: Mark, least: float) -> float:
    """Least distance from centre to edge: a through hole's, else 1.5 diameters of the screw (NDS, along the grain)."""
    return least if purpose in ("cable", "wire") else 1.5 * mark.body


def kind_problems(job: Job, posts: Sequence[Post]) -> Iterator[Problem]:
    """What is unknown of the posts' materials."""
    seen: set[str] = set()
    for post in posts:
        kind = post.kind
        if kind.name in seen:
            continue
        seen.add(kind.name)
        if not kind.material.known:
            yield Problem(
                "check",
                f"post.{kind.name}.material",
                f'"{kind.material.name}" is not in the table of woods and counts as a light softwood',
                _nearest_wood(kind.material.name) + "give its specific gravity in [wood.NAME]",
            )
    yield from depth_problems(job, posts)
    yield from bolt_problems(job, posts)


def _nearest_wood(name: str) -> str:
    near = get_close_matches(name.casefold(), material_names(), 1, 0.6)
    return f'write "{near[0]}" if that is it, or ' if near else "write a wood of the table, or "


def depth_problems(job: Job, posts: Iterable[Post]) -> Iterator[Problem]:
    """Screws longer than the post is deep, or than a hollow one is up to its far wall; out of solid metal one may come."""
    for post in posts:
        wall = hollow_wall(post.kind)
        metal = post.kind.material.kind == "metal" and post.kind.core is None
        for face in post.faces:
            deep = post.prism.depth(face.frame.normal) - wall
            screws = [m for m in face.marks if m.purpose in ("screw", "bracket") and (m.wall or not m.through)]
            if metal:  # wood screws in metal are told already
                screws = [m for m in screws if m.wall and (m.tap or m.clears)]
            long = [m for m in screws if m.reach > deep - 1e-9]
            if long:
                goes = f"the screw goes {length(job, long[0].reach)}"
                deeper = (
                    f"in, the far wall is {length(job, deep)} from the face"
                    if wall
                    else f"into a post of {length(job, deep)}"
                )
                yield Problem(
                    "stop", long[0].id, f"{goes} {deeper}", _shorter_by(job, long[0], long[0].reach - deep + 6.0)
                )


def _shorter_by(job: Job, mark: Mark, by: float) -> str:
    """The longest screw that is sold and shorter by ``by`` mm at least."""
    name = mark.what.rpartition(", ")[0]
    screw = (job.fittings.get(name) or job.brackets[name]).screw
    sold = at_most(screw, job.units, screw.length - by) if screw else None
    return f"use a screw {sold.told} long" if sold else f"use a screw shorter by {length(job, by)}"


def bolt_problems(job: Job, posts: Iterable[Post]) -> Iterator[Problem]:
    """Bolts that do not come out far enough for their nut, each piece once a kind of post."""
    seen: set[tuple[str, str]] = set()
    for post in posts:
        for mark in (mark for face in post.faces for mark in face.marks if mark.clears):
            name = mark.what.rpartition(", ")[0]
            piece = job.fittings.get(name) or job.brackets[name]
            screw = piece.screw
            if screw is None or not screw.bolt or (post.kind.name, name) in seen:
                continue
            seen.add((post.kind.name, name))
            least = piece.flange + mark.depth + screw.shank + 2.0 * (screw.pitch or 0.0)
            if screw.length < least - 1e-6:
                yield Problem(
                    "stop",
                    mark.id,
                    f"{screw.text} is {length(job, least - screw.length)} too short for flange, post and nut",
                    f"use a bolt of {_bolt_of(job, screw, least)} or more",
                    "a nut takes one diameter and two pitches: common practice, no source",
                )


def _bolt_of(job: Job, screw: Screw, least: float) -> str:
    """The shortest bolt that is sold and long enough, else how long it has to be."""
    sold = at_least(screw, job.units, least)
    return sold.told if sold else length(job, least)


def stair_problems(job: Job, layout: Layout) -> Iterator[Problem]:
    """Posts that would hang over a nosing or stand in a riser."""
    for line in layout.runs:
        stair = line.ground
        if not isinstance(stair, Stair) or line.guard.mount == "side":
            continue
        for post, x in zip(line.posts, line.stations, strict=True):
            b, half = line.behind(x), layout.stands[post].prism.half_extent(line.level)
            room = b - half if b >= 0 else -b - half
            beyond = stair.going - b - half if b >= 0 and x not in (line.stations[0], line.stations[-1]) else 1.0
            if room < -1e-9:
                yield Problem(
                    "check",
                    f"post {post}",
                    f"its centre is {length(job, b)} behind the nosing and it is {length(job, half * 2)} deep:"
                    f" it hangs over by {length(job, -room)}",
                    f"move it {length(job, -room)} {'uphill' if b >= 0 else 'downhill'}, or mount it on the side",
                )
            elif beyond < -1e-9:
                yield Problem(
                    "check",
                    f"post {post}",
                    f"it runs {length(job, -beyond)} into the nosing of the step above",
                    f"move it {length(job, -beyond)} downhill, or notch the tread",
                )
        yield from _last_problem(job, line, stair)


def _last_problem(job: Job, line: RunLine, stair: Stair) -> Iterator[Problem]:
    """The last post's place by the spans against what the job says of it."""
    if stair.last_behind is None:
        return
    x = line.stations[-1]
    by_spans = stair.first_behind + (x if stair.up else -x)
    off = (by_spans - stair.last_behind) % stair.going
    off = min(off, stair.going - off)
    if off > 3.0:
        yield Problem(
            "check",
            f"run {line.id}",
            f"the spans put its last post {length(job, off)} away from what last_behind_nosing says",
            "measure the spans, the going and both distances to the nosing again",
        )


def datum_problems(job: Job) -> Iterator[Problem]:
    """A height line is the top of the rail to be: where the rail lies over the posts no wood reaches up to it."""
    if job.sheet.datum == "height line" and any(run.guard.rail.sits == "over" for run in job.runs):
        yield Problem(
            "check",
            "sheet.datum",
            "the rail lies over the posts, so no post reaches up to the pencilled height line",
            'use datum = "underside" (the post\'s top), or cut the posts after drilling',
        )


def spool_problems(job: Job, cables: Iterable[CableCut]) -> Iterator[Problem]:
    """Spools that are shorter than the longest cable as it is cut."""
    longest = max(cables, key=lambda cut: cut.length, default=None)
    most = max(job.cable.spools, default=0.0)
    if longest is not None and rounded_up(job, longest.length) > most:
        least = rounded_up(job, longest.length)
        words = f"write a spool of {long_length(job, least)} at least in spools of [cable]"
        yield Problem(
            "stop",
            "cable.spools",
            f"cable {cut_label(longest.run, longest.cable)} is cut to {long_length(job, least)},"
            f" the longest spool is {long_length(job, most)}",
            f"{words}, or end the run at a post between",
            "",
            (Cure(words, (("cable.spools", _more_spools(job, least)),)),),
        )


def _more_spools(job: Job, least: float) -> str:
    """The job's spools and the shortest usual one that holds ``least`` mm, or one of that length, as TOML writes them."""
    usual = next((mm for mm in SPOOLS[job.units] if mm >= least), least)
    own = job.data.get("cable", {}).get("spools", [])
    return json.dumps([*own, f"{mm_text(usual, 1)} mm"], ensure_ascii=False)


def unique(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """The problems in their order, each told once."""
    return tuple(dict.fromkeys(problems))
