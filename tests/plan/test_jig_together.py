"""Jigs put together in space from their cut outlines, kerf put back: tabs in slots, cheeks on the post, stop, guides."""

from __future__ import annotations

import re
from math import cos, degrees, hypot, pi, sin

import numpy
import pytest
from jigs_made import Cut, cut_out, every, one, shop_plan, world
from shapely import contains_xy
from shapely.geometry import LineString, Polygon

from jiggen.geometry import Line, Point, Vector
from jiggen.plan.jigs.model import Jig
from jiggen.plan.jigs.site import site
from jiggen.plan.jigs.stack import play
from jiggen.plan.model import Mark, Plan, RunLine

HUG = 0.3  # stated clearance of a cheek, mm
FIT = 0.1  # stated clearance of a tab in its slot, mm, in all
RUN = 0.1  # stated running clearance of a drill, mm

JIGS = every()


def axis(plan: Plan, mark: Mark) -> Line:
    """A mark's axis in the world, straight from the plan."""
    face = plan.face_by_id[f"{mark.post}/{mark.face}"]
    frame = face.frame
    inward = frame.normal_at(mark.u).times(-1.0)
    across = inward.cross(frame.up)
    way = across.times(mark.axis.x).plus(frame.up.times(mark.axis.y)).plus(inward.times(mark.axis.z))
    return Line(frame.world(mark.u, mark.v), way)


def off_line(line: Line, point: Vector) -> float:
    gap = point.minus(line.point)
    return gap.minus(line.direction.times(gap.dot(line.direction))).length()


def marks_of(plan: Plan, jig: Jig) -> dict[str, Mark]:
    return {mark.id: mark for mark in plan.face_by_id[jig.face].marks}


def test_every_kind_is_among_the_samples() -> None:
    names = {part.name for name, jig in JIGS for part in one(name, jig).parts}
    assert {"face plate", "left cheek", "right cheek", "stop, left", "stop, right", "saddle rib"} <= names
    assert {"base", "end stop", "layer 1", "layer 4"} <= names
    assert any(len(one(name, jig).pieces) > 1 for name, jig in JIGS)


def sections(cut: Cut, w: float) -> list[tuple[float, float, float, float]]:
    """Where a board that stands on edge passes the plane w: left, bottom, right, top in (u, v)."""
    part = cut.part
    place = part.place
    assert place is not None
    if abs(place.x.z) < 0.5 and abs(place.y.z) < 0.5:
        return []  # it lies flat, like the plate
    along_x = abs(place.x.z) > 0.5
    at = (w - place.origin.z) / (place.x.z if along_x else place.y.z)
    far = 1e4
    line = LineString([(at, -far), (at, far)]) if along_x else LineString([(-far, at), (far, at)])
    crossed = cut.outline.intersection(line)
    found = []
    for piece in getattr(crossed, "geoms", [crossed]):
        if piece.is_empty:
            continue
        ends = [place.at(Point(*xy), depth) for xy in piece.coords for depth in (0.0, part.thickness)]
        found.append((min(p.x for p in ends), min(p.y for p in ends), max(p.x for p in ends), max(p.y for p in ends)))
    return found


@pytest.mark.parametrize(("name", "jig_id"), JIGS)
def test_tabs_meet_slots_with_the_stated_clearance(name: str, jig_id: str) -> None:
    """Every slot of a plate or base takes one tab and every tab one slot: 0.05 mm on each of the four sides."""
    jig, cuts = one(name, jig_id), cut_out(name, jig_id)
    boards = [cut for cut in cuts.values() if cut.slots]
    assert boards
    for board in boards:
        place = board.part.place
        assert place is not None
        middle = place.at(Point(0.0, 0.0), board.part.thickness / 2.0).z
        tabs = [s for cut in cuts.values() if cut.part.piece == board.part.piece for s in sections(cut, middle)]
        assert len(tabs) == len(board.slots)
        for slot in board.slots:
            corners = [place.at(Point(*xy)) for xy in slot.exterior.coords]
            left, right = min(c.x for c in corners), max(c.x for c in corners)
            bottom, top = min(c.y for c in corners), max(c.y for c in corners)
            inside = [t for t in tabs if left < t[0] and t[2] < right and bottom < t[1] and t[3] < top]
            assert len(inside) == 1
            gaps = (inside[0][0] - left, inside[0][1] - bottom, right - inside[0][2], top - inside[0][3])
            assert gaps == pytest.approx((FIT / 2.0,) * 4, abs=0.002)
    assert jig.parts


@pytest.mark.parametrize(("name", "jig_id"), JIGS)
def test_no_tab_reaches_the_post(name: str, jig_id: str) -> None:
    """Nothing of a stop stands out of the plate's back, where it would hold the plate off the post."""
    jig, cuts = one(name, jig_id), cut_out(name, jig_id)
    for cut in cuts.values():
        if cut.part.name.startswith("stop"):
            place = cut.part.place
            assert place is not None
            assert min(place.at(Point(*xy)).z for xy in cut.outline.exterior.coords) >= jig.lead + 0.05


@pytest.mark.parametrize(("name", "jig_id"), JIGS)
def test_cheeks_hug_the_post(name: str, jig_id: str) -> None:
    """The inner face of each cheek lies 0.3 mm off the post's side, so u = 0 is the middle; ribs so off a round post."""
    plan, jig = shop_plan(name), one(name, jig_id)
    post = plan.post_by_id[plan.face_by_id[jig.face].post]
    frame, prism = plan.face_by_id[jig.face].frame, post.prism
    held = []
    for cut in cut_out(name, jig_id).values():
        place = cut.part.place
        assert place is not None
        if cut.part.name.endswith("cheek"):
            inner = world(plan, jig, place.origin).minus(prism.base).dot(frame.right)
            size = prism.size_across if abs(frame.normal.dot(prism.along)) > 0.7 else prism.size_along
            held.append(abs(inner) - size / 2.0)
            assert held[-1] == pytest.approx(HUG, abs=1e-6)
        elif cut.part.name == "saddle rib":
            points = [place.at(Point(*xy)) for xy in cut.outline.exterior.coords]
            radius = prism.size_along / 2.0
            off = [hypot(p.x, p.z + radius) - radius for p in points]
            near = sorted(off)[: len(off) // 2]
            held.append(min(off))
            assert min(off) == pytest.approx(HUG, abs=0.005)
            assert max(near) < HUG + 0.005  # half of the corners and more stand on the arc
    assert len(held) >= 2


@pytest.mark.parametrize(("name", "jig_id"), JIGS)
def test_the_stop_lies_on_the_underside(name: str, jig_id: str) -> None:
    """Both ends of a stop's upper edge lie on the underside, and nothing of the jig stands higher than it."""
    plan, jig = shop_plan(name), one(name, jig_id)
    face = plan.face_by_id[jig.face]
    line = next(run for run in plan.runs if run.id == face.run)

    def over(point: Vector) -> float:
        """How far a point of the world is over the underside of the rail, vertically."""
        return point.z - underside_at(line, face.post, point)

    for cut in cut_out(name, jig_id).values():
        place = cut.part.place
        assert place is not None
        if cut.part.piece > 1 or jig.stop is None:
            continue
        ends = [
            world(plan, jig, place.at(Point(*xy), depth))
            for xy in cut.outline.exterior.coords
            for depth in (0.0, cut.part.thickness)
        ]
        heights = sorted(over(p) for p in ends)
        assert heights[-1] < 0.01
        if cut.part.name.startswith("stop"):
            seat = [p for p in ends if over(p) > -0.01]
            reach = [p.minus(face.frame.origin).dot(face.frame.normal) for p in seat]
            assert max(reach) - min(reach) == pytest.approx(40.0, abs=0.01)


def underside_at(line: RunLine, post: str, point: Vector) -> float:
    lift = line.lifts[line.posts.index(post)] if line.lifts and post in line.posts else 0.0
    return line.underside(line.along(point)) + lift


@pytest.mark.parametrize(("name", "jig_id"), JIGS)
def test_every_guide_lies_on_its_mark(name: str, jig_id: str) -> None:
    """The centre of each guide hole, at the middle of its board, is on the mark's axis; every mark has its guide."""
    plan, jig = shop_plan(name), one(name, jig_id)
    marks = marks_of(plan, jig)
    seen = set()
    for cut in cut_out(name, jig_id).values():
        place = cut.part.place
        assert place is not None
        for mark, use, contour in cut.holes:
            if use not in ("guide", "index"):
                continue
            left, bottom, right, top = contour.bounds
            middle = place.at(Point((left + right) / 2.0, (bottom + top) / 2.0), cut.part.thickness / 2.0)
            name_of, _, end = mark.partition(":")
            found = marks[name_of]
            line = axis(plan, found)
            if end:
                sign = 1.0 if end == "1" else -1.0
                frame = plan.face_by_id[jig.face].frame
                shift = frame.right.times(sign * found.slot[0]).plus(frame.up.times(sign * found.slot[1]))
                line = Line(line.point.plus(shift), line.direction)
            assert off_line(line, world(plan, jig, middle)) < 0.05
            seen.add(name_of)
    datum = next(g for g in plan.groups if jig.face in g.faces).datum
    wanted = {m.id for m in marks.values() if not (m.purpose == "bracket" and datum == "underside")}
    assert seen == wanted


STACKS = [(name, jig) for name, jig in JIGS if one(name, jig).layers > 1]


@pytest.mark.parametrize(("name", "jig_id"), STACKS)
def test_axis_of_a_stack_by_least_squares(name: str, jig_id: str) -> None:
    """A line through the layers' hole centres is less than 0.2 degrees and 0.05 mm off the mark's axis."""
    plan, jig = shop_plan(name), one(name, jig_id)
    assert jig.layers * jig.wish.thickness >= 5.0 * max(m.drill.diameter for m in marks_of(plan, jig).values())
    centres: dict[tuple[int, str], list[Vector]] = {}
    for cut in cut_out(name, jig_id).values():
        for mark, use, contour in cut.holes:
            if use in ("guide", "index"):
                left, bottom, right, top = contour.bounds
                assert cut.part.place is not None
                spot = Point((left + right) / 2.0, (bottom + top) / 2.0)
                at = cut.part.place.at(spot, cut.part.thickness / 2.0)
                centres.setdefault((cut.part.piece, mark), []).append(world(plan, jig, at))
    for (_, mark), points in centres.items():
        assert len(points) == jig.layers
        array = numpy.array(points)
        middle = array.mean(axis=0)
        way = numpy.linalg.svd(array - middle)[2][0]
        line = axis(plan, marks_of(plan, jig)[mark])
        angle = degrees(numpy.arccos(min(1.0, abs(float(way @ numpy.array(line.direction))))))
        assert angle < 0.2
        assert off_line(line, Vector(*middle)) < 0.05


@pytest.mark.parametrize(("name", "jig_id"), STACKS)
def test_a_straight_drill_passes_all_layers(name: str, jig_id: str) -> None:
    """Points on the skin of a drill of diameter d about the mark's axis lie inside the hole of whatever layer they are in."""
    plan, jig = shop_plan(name), one(name, jig_id)
    marks = marks_of(plan, jig)
    tight = 0
    for cut in cut_out(name, jig_id).values():
        if cut.part.name != "face plate" and not cut.part.name.startswith("layer"):
            continue
        place = cut.part.place
        assert place is not None
        for mark, use, contour in cut.holes:
            if use != "guide":
                continue
            line, drill = axis(plan, marks[mark]), marks[mark].drill.diameter
            hole = Polygon(contour.exterior).buffer(1e-6)
            for grow, fits in ((0.0, True), (RUN + 0.02, False)):
                skin = _local(plan, jig, _skin(line, (drill + grow) / 2.0))
                low, high = place.origin.z, place.origin.z + cut.part.thickness
                within = skin[(skin[:, 2] > low) & (skin[:, 2] < high)]
                assert len(within) > 30
                assert bool(contains_xy(hole, within[:, 0], within[:, 1]).all()) == fits
                tight += not fits
    assert tight


def _skin(line: Line, radius: float) -> numpy.ndarray:
    """Points on a cylinder about a line, every 0.37 mm along it and 15 degrees round it, as rows."""
    side = line.direction.cross(Vector(0.0, 0.0, 1.0)).unit()
    other = line.direction.cross(side)
    ring = [side.times(radius * cos(t)).plus(other.times(radius * sin(t))) for t in numpy.arange(24) * pi / 12.0]
    return numpy.array([line.at(-step * 0.37).plus(off) for step in range(240) for off in ring])


def _local(plan: Plan, jig: Jig, points: numpy.ndarray) -> numpy.ndarray:
    """Points of the world in the jig's frame, as rows."""
    frame = plan.face_by_id[jig.face].frame
    off = points - numpy.array(world(plan, jig, Vector(0.0, 0.0, 0.0)))
    return off @ numpy.array([frame.right, frame.up, frame.normal]).T


@pytest.mark.parametrize(("name", "jig_id"), STACKS)
def test_dowels_line_the_layers_up(name: str, jig_id: str) -> None:
    """At least two dowel holes go straight through every board of a piece, far apart."""
    jig = one(name, jig_id)
    by_piece: dict[int, list[set[tuple[float, float]]]] = {}
    for cut in cut_out(name, jig_id).values():
        if cut.part.name == "face plate" or cut.part.name.startswith("layer"):
            spots = {(round(h.centroid.x, 3), round(h.centroid.y, 3)) for _, use, h in cut.holes if use == "dowel"}
            by_piece.setdefault(cut.part.piece, []).append(spots)
    assert len(by_piece) == len(jig.pieces)
    for boards in by_piece.values():
        assert len(boards) == jig.layers
        common = set.intersection(*boards)
        assert len(common) >= 2
        assert common == set.union(*boards)
        assert max(y for _, y in common) - min(y for _, y in common) > 100.0


def test_a_layer_by_the_closed_formula() -> None:
    """Layer i's hole: shifted (i + 1/2) q tan(rake), d wide, d / cos + q tan long (stair of 7 in on 11 in: tan 0.63636)."""
    plan, jig = shop_plan("stair-up"), one("stair-up", "S2")
    rake = 7.0 / 11.0
    q, d = 5.9944, 5.55625 + 0.1  # board; 7/32 in and the running clearance
    cosine = 1.0 / hypot(1.0, rake)
    mark = next(m for m in marks_of(plan, jig).values() if m.label == "1")
    for cut in cut_out("stair-up", "S2").values():
        if cut.part.piece != 1 or not (cut.part.name == "face plate" or cut.part.name.startswith("layer")):
            continue
        i = 0 if cut.part.name == "face plate" else int(cut.part.name.split()[1])
        contour = next(h for m, _, h in cut.holes if m == mark.id)
        left, bottom, right, top = contour.bounds
        assert (top + bottom) / 2.0 + mark.drop == pytest.approx(-(i + 0.5) * q * rake, abs=0.003)
        assert right - left == pytest.approx(d, abs=0.003)
        assert top - bottom == pytest.approx(d / cosine + q * rake, abs=0.005)


def test_what_play_adds_is_what_the_holes_allow() -> None:
    """Tilt a line in the plane of the bore until it no longer fits between the layers' rims, dowels at their worst."""
    plan = shop_plan("stair-up")
    group = next(g for g in plan.groups if g.id == "S2")
    at = site(plan, group, plan.face_by_id[group.faces[0]], plan.job.jig)  # type: ignore[arg-type]
    guide = at.guides[0]
    cosine, slope = abs(guide.axis.z), hypot(guide.axis.x, guide.axis.y) / abs(guide.axis.z)
    half = guide.drill / cosine / 2.0
    length = (guide.drill + RUN) / cosine + at.q * slope

    def fits(tilt: float) -> bool:
        """Whether some shift e lets x = slope w + tilt w + e pass; dowels give 0.05 mm either way a layer."""
        low, high = -1e9, 1e9
        for i in range(at.layers):
            middle = (i + 0.5) * at.q * slope
            for w in (i * at.q, (i + 1) * at.q):
                x = (slope + tilt) * w
                low = max(low, middle - length / 2.0 - 0.05 + half - x)
                high = min(high, middle + length / 2.0 + 0.05 - half - x)
        return low <= high

    most = max(t * 1e-5 for t in range(20000) if fits(t * 1e-5) or fits(-t * 1e-5))
    assert play(at, guide) == pytest.approx(most * cosine * cosine, rel=0.03)
    assert degrees(play(at, guide)) < 1.0


def test_left_and_right_are_told_apart() -> None:
    """Left and right cheeks and ribs are mirror images but for their tabs, and a wrong one does not go into the slots."""
    for name, jig_id in (("example", "S1"), ("stair-up", "S2"), ("stair-up", "S3")):
        cuts = {c.part.name: c for c in cut_out(name, jig_id).values() if c.part.piece == 1}
        for left, right in (("left cheek", "right cheek"), ("stop, left", "stop, right")):
            mine = cuts[left].outline
            mirrored = Polygon([(-x, y) for x, y in cuts[right].outline.exterior.coords])
            assert mine.area - mirrored.area > 5.0  # longer tabs on the left
            assert mirrored.difference(mine).area < 0.1  # and nothing else differs
            words = {side: " ".join(w.text for w in cuts[side].part.labels) for side in (left, right)}
            assert words[left] != words[right]
            assert all("UP" in text for text in words.values())


def test_pieces_index_on_holes_already_drilled() -> None:
    """Each further piece has the last row of the one before as pin holes, in the same place over the datum."""
    for name, jig_id in JIGS:
        jig = one(name, jig_id)
        for before, piece in zip(jig.pieces, jig.pieces[1:], strict=False):
            assert piece.index
            assert set(piece.index) <= set(before.marks)
            assert not set(piece.index) & set(piece.marks)
            said = " ".join(jig.notes)
            # each join adds half the running clearance in the drilled hole and half in the guide: 0.1 mm
            assert re.search(rf"off by up to (\S+ in \()?{0.1 * (len(jig.pieces) - 1):.1f} mm\)? more", said)
        marked = [m for piece in jig.pieces for m in piece.marks]
        assert len(marked) == len(set(marked))


def test_engraved_words() -> None:
    """A plate tells posts, face, UP, its sheet and the fingerprint, and at each hole its number and drill."""
    jig = one("example", "S2")
    plan = shop_plan("example")
    plate = jig.parts[0]
    words = " ".join(label.text for label in plate.labels)
    assert "POST 2 TOWARD 3 / TOWARD 1" in words and "UP" in words  # both sides look the same
    assert plan.fingerprint in words and "S2" in words
    drills = [label.text for label in plate.labels if "7/32 in" in label.text]
    assert len(drills) == len(jig.pieces[0].marks)
