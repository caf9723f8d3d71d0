"""Small ways to break the geometry: a name, the file under jiggen/, a text that stands in it once, and what to put there.

Each is one slip of the pen that a person could make: a sign, a factor, a mark left out. ``tests``: those that look
at this part of the program; run.py runs them against each.
"""

from __future__ import annotations

from typing import NamedTuple

PLAN = ("tests/plan", "tests/test_strangers.py")
SHEETS = ("tests/sheets", "tests/test_verify.py", "tests/test_build.py")
RENDER = ("tests/render", "tests/test_verify.py", "tests/test_build.py")
COMPOSE = ("tests/compose", "tests/test_verify.py", "tests/test_build.py")
JIGS = ("tests/compose/test_jig_drawing.py", "tests/plan/test_jig_together.py", "tests/test_verify_jig.py")


class Mutant(NamedTuple):
    name: str
    file: str
    old: str
    new: str
    tests: tuple[str, ...]


MUTANTS = (
    Mutant("sign of the rake", "plan/lines.py", "angle if run.ground.up else -angle", "-angle if run.ground.up else angle", PLAN),
    Mutant("sign of the pivot", "plan/marks.py", "plane(out).meets(line)\n", "plane(-out).meets(line)\n", PLAN),
    Mutant("pivot up taken for down", "plan/marks.py", "off.dot(view.frame.up) - up)", "off.dot(view.frame.up) + up)", PLAN),
    Mutant("an inch of 25 mm on the page", "render/pdf.py", "72.0 / MM_PER_INCH", "72.0 / 25.0", RENDER),
    Mutant("an inch of 25 mm in the job", "units/factors.py", '("inch", "millimetre"): _INCH', '("inch", "millimetre"): Fraction(25)',
           ("tests/test_units.py", *PLAN)),
    Mutant("u mirrored in the plan", "plan/prism.py", "self.axis.cross(normal), self.axis, side.width", "normal.cross(self.axis), self.axis, side.width", PLAN),
    Mutant("a bore's slant across a flat face mirrored", "plan/prism.py", "return Vector(direction.dot(self.right), direction.dot(self.up)",
           "return Vector(-direction.dot(self.right), direction.dot(self.up)", PLAN),
    Mutant("every cable on the line of the first", "plan/model.py", "known = self._lines.get(drop)",
           "known = next(iter(self._lines.values()), None)", PLAN),
    Mutant("u mirrored on the sheet", "compose/bench.py", "self.centre + u * self.stretch", "self.centre - u * self.stretch", COMPOSE),
    Mutant("v upside down on the sheet", "compose/bench.py", "self.seat_y + v - self.seat", "self.seat_y - v + self.seat", COMPOSE),
    Mutant("what is under a join 1 mm off", "sheets/tiling.py", "own, (dx, dy) = self.own(column, row), self.shift(column, row)",
           "own, (dx, dy) = self.own(column, row), self.shift(column, row)\n        dy += float(row > 0)", SHEETS),
    Mutant("the strip under a join 1 mm wider than told", "sheets/tiling.py", "right, top + self.overlap * (row > 0))",
           "right, top + (self.overlap + 1.0) * (row > 0))", SHEETS),
    Mutant("the first mark of a face not drawn", "compose/body.py", "for mark in bench.marks:\n            _mark(bench",
           "for mark in bench.marks[1:]:\n            _mark(bench", COMPOSE),
    Mutant("the last cable's fitting left out", "plan/marks.py", "enumerate(view.line.drops, 1):\n            centre",
           "enumerate(view.line.drops[:-1], 1):\n            centre", PLAN),
    Mutant("kerf twice at a hole", "compose/jig.py", "r = hole.diameter / 2.0 - half", "r = hole.diameter / 2.0 - 2.0 * half", JIGS),
    Mutant("kerf to the wrong side of an outline", "compose/jig.py", "pen.path((one.at(p) for p in offset(one.part.outline, half))",
           "pen.path((one.at(p) for p in offset(one.part.outline, -half))", JIGS),
    Mutant("height of the first riser forgotten", "plan/model.py", "(stair.rise if b < 0.0 else 0.0)", "0.0", PLAN),
    Mutant("drop on a slanting underside", "plan/marks.py", "self.face.underside[0] + self.face.underside[1] * at.x - at.y",
           "self.face.underside[0] - self.face.underside[1] * at.x - at.y", PLAN),
    Mutant("bores slant the other way", "plan/marks.py", "cable.direction.dot(view.outward) < 0.0", "cable.direction.dot(view.outward) > 0.0", PLAN),
    Mutant("spacing on a rake taken vertically", "plan/spacing.py", "tuple(x / c for x in centres)", "tuple(centres)", PLAN),
    Mutant("first opening half a cable too large", "plan/spacing.py", "opening + d, opening + d / 2.0, count)", "opening + d, opening + d, count)", PLAN),
    Mutant("depth of the rail on a rake", "plan/model.py", "self.guard.rail.depth / self.cosine", "self.guard.rail.depth", PLAN),
    Mutant("clear spans with one half post", "plan/lines.py", "run.posts[index : index + 2])", "run.posts[index : index + 1])", PLAN),
    Mutant("spans along the rake the wrong way", "plan/lines.py", "length *= cos(angle)", "length /= cos(angle)", PLAN),
    Mutant("flange forgotten in a screw's depth", "plan/marks.py", "screw.length - piece.flange", "screw.length", PLAN),
    Mutant("lead holes one drill too large", "plan/holes.py", "next_down(lead.limit, job.drills)", "next_up(lead.limit, job.drills)", PLAN),
    Mutant("setback added to a cable", "plan/takeoff.py", "length -= fitting.setback - (", "length += fitting.setback - (", PLAN),
    Mutant("deck side for open side", "plan/lines.py", '(pi / 2.0 if side == "left" else -pi / 2.0)', '(-pi / 2.0 if side == "left" else pi / 2.0)', PLAN),
    Mutant("ovals turned the wrong way in an SVG", "render/svgparts.py", "turn = number(-degrees(oval.angle))", "turn = number(degrees(oval.angle))", RENDER),
    Mutant("ovals turned the wrong way in a PDF", "render/operators.py", "_rim(oval.rx, oval.ry, oval.angle)", "_rim(oval.rx, oval.ry, -oval.angle)", RENDER),
    Mutant("slanting bores drawn round", "plan/model.py", "return self.diameter, self.diameter / self.axis.z", "return self.diameter, self.diameter", PLAN),
    Mutant("left turns to the right", "plan/lines.py", "+ (run.turn or 0.0)", "- (run.turn or 0.0)", PLAN),
    Mutant("height line under the rail", "plan/alike.py", "under + face.rail_up", "under - face.rail_up", (*PLAN, *COMPOSE)),
    Mutant("holes twice as thick in a clash", "plan/clashes.py", "mark.body / 2.0)", "mark.body)", PLAN),
    Mutant("paper's thickness round a post forgotten", "compose/bench.py", "stretch=girth / (pi * post.kind.along))", "stretch=1.0)", COMPOSE),
    Mutant("printer's stretch put on twice", "sheets/correction.py", "return (1.0 / self.across, 0.0", "return (self.across, 0.0", ("tests/test_verify_print.py", *SHEETS)),
    Mutant("bracket screws upside down", "plan/marks.py", "Point(centre.x + across, centre.y + up)", "Point(centre.x + across, centre.y - up)", PLAN),
    Mutant("slots twice as long", "plan/holes.py", "scale = longer / 2.0 / trace", "scale = longer / trace", PLAN),
    Mutant("a post that leans the other way", "plan/lines.py", "left.times(built.lean[1] / 1000.0)", "left.times(-built.lean[1] / 1000.0)", PLAN),
    Mutant("one gap too few between bars", "plan/lines.py", "/ (run.spacers.each + 1)", "/ run.spacers.each", PLAN),
    Mutant("kerf twice at an outline", "compose/jig.py", 'wish.kerf / 2.0\n    data: Data = (("part"', 'wish.kerf\n    data: Data = (("part"', JIGS),
    Mutant("kerf of a slot put outside", "compose/jig.py", "offset(slot, -half)", "offset(slot, half)", JIGS),
    Mutant("jig holes mirrored in a DXF", "render/dxf.py", "    return _n(point.x), _n(point.y)", "    return _n(-point.x), _n(point.y)", JIGS),
    Mutant("a bracket on the straight cable's line as built", "plan/marks.py", "- drop + lift - origin.z", "- drop - origin.z", PLAN),
    Mutant("the deck square to a leaning post", "plan/faces.py", "(stand.base.z - frame.origin.z) / frame.up.z, -frame.right.z / frame.up.z", "0.0, 0.0", PLAN),
)  # fmt: skip
