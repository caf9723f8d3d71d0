"""Rails to cut: lengths and both ends by hand, and against the planes of the posts' faces."""

from __future__ import annotations

from math import atan, cos, degrees, radians, sin, tan
from typing import Any

import pytest
from jobs_made import SWIVEL, Keys, plan, ramp, run, stair

from jiggen.geometry import Vector, heading_vector
from jiggen.plan.document import document
from jiggen.plan.model import Plan
from jiggen.plan.rails import end_words, saw
from jiggen.plan.report import report
from jiggen.plan.shop import RailCut

OVER: Keys = {"rail": {"depth": 38, "sits": "over"}, "count": 9, "height": 1000}


def rail(made: Plan, run_id: str, place: str) -> RailCut:
    return next(cut for cut in made.takeoff.rails if cut.run == run_id and cut.place == place)


def ends(cut: RailCut) -> list[tuple[float, float, str]]:
    return [(round(degrees(e.plumb), 6), round(degrees(e.mitre), 6), e.longer) for e in (cut.start, cut.finish)]


def test_level_between_square_posts() -> None:
    made = plan(run([1000], count=9))
    assert ends(rail(made, "A", "top, 1 to 2")) == [(0, 0, ""), (0, 0, "")]
    assert end_words(made.job, made.takeoff.rails[0].start) == "square"


@pytest.mark.parametrize("goes", ["up", "down"])
def test_a_stair_rail_is_cut_plumb_at_both_ends(goes: str) -> None:
    """atan(175 / 250) = 34.992 deg, whichever way it goes; top and bottom rail alike; 911 level is 911 / cos along it."""
    keys = {"bottom_rail": {"depth": 38}, "bottom_gap": 0, "height": 1000}
    made = plan(run([1000], stair=stair(175, 250, 120, goes), count=9, **keys))
    for place in ("top, 1 to 2", "bottom, 1 to 2"):
        cut = rail(made, "A", place)
        assert ends(cut) == [(round(degrees(atan(0.7)), 6), 0, "")] * 2
        assert cut.length == pytest.approx((1000 - 89) / cos(atan(0.7)))
    assert end_words(made.job, made.takeoff.rails[0].finish) == "plumb 35.0 deg"


def corner(degrees_left: float, deck: str = "left", rotate: Any = None, **keys: Any) -> Plan:
    kinds: Keys = {"timber": {"width": 89, "material": "douglas fir"}}
    kinds["turned"] = {**kinds["timber"], "rotate": rotate} if rotate else kinds["timber"]
    stands = {"line": "timber", "end": "timber", "corner": "turned"}
    turn = f"left {degrees_left} deg" if degrees_left > 0 else f"right {-degrees_left} deg"
    shared = {"deck": deck, **SWIVEL, **keys}
    return plan([run([1000], **shared), run([1000], 2, turn=turn, **shared)], post=kinds, posts=stands)


@pytest.mark.parametrize("turn", [30.0, -30.0, 45.0, -45.0])
@pytest.mark.parametrize("deck", ["left", "right"])
def test_a_bisected_corner_post_mitres_both_rails_by_half_the_turn(turn: float, deck: str) -> None:
    """Half of 30 is 15: longer on the outside of the turn, which is the open side where the deck lies inside."""
    made = corner(turn, deck, "bisect", count=9)
    outside = "open" if (turn > 0) == (deck == "left") else "deck"
    assert ends(rail(made, "A", "top, 1 to 2"))[1] == (0, abs(turn) / 2, outside)
    assert ends(rail(made, "B", "top, 2 to 3"))[0] == (0, abs(turn) / 2, outside)


@pytest.mark.parametrize("turn", [20.0, -20.0, 40.0])
@pytest.mark.parametrize("rotate", [None, "bisect", "7 deg"])
@pytest.mark.parametrize("rake", [0.0, 20.0])
def test_both_edges_of_a_rail_end_in_the_plane_of_the_face(turn: float, rotate: Any, rake: float) -> None:
    """The rail's two edges, 40 mm to either side, as long as length and mitre say, end where the face's plane is."""
    ground = {"ramp": ramp(rake)} if rake else {}
    made = corner(turn, "left", rotate, count=9, **ground)
    for run_id, place, first, last in (("A", "top, 1 to 2", "1", "2"), ("B", "top, 2 to 3", "2", "3")):
        cut = rail(made, run_id, place)
        line = next(line for line in made.runs if line.id == run_id)
        way, left = heading_vector(line.heading), heading_vector(line.heading + radians(90))
        near, far = made.face_by_id[f"{first}/toward {last}"].frame, made.face_by_id[f"{last}/toward {first}"].frame
        base = made.post_by_id[first].prism.base
        half = made.post_by_id[first].prism.half_extent(way)
        for end, frame, at in ((cut.start, near, half), (cut.finish, far, half + cut.length * cos(line.rake))):
            for side in (40.0, -40.0):  # + to the left, the deck side
                sign = 0.0 if not end.mitre else (1.0 if (end.longer == "deck") == (side > 0) else -1.0)
                more = sign * 40.0 * tan(end.mitre) * (-1.0 if end is cut.start else 1.0)
                point = base.plus(way.times(at + more)).plus(left.times(side))
                level = Vector(point.x - frame.origin.x, point.y - frame.origin.y, 0.0)
                assert abs(level.dot(frame.normal)) < 1e-6


def test_a_round_post_is_coped() -> None:
    made = plan(run([1000], count=9), post={"pipe": {"shape": "round", "diameter": 60, "material": "douglas fir"}})
    assert end_words(made.job, made.takeoff.rails[0].start) == "coped to a round of 60.0 mm"


@pytest.mark.parametrize(("turn", "outside"), [(90.0, "open"), (-90.0, "deck"), (37.0, "open")])
def test_rails_over_the_posts_meet_in_a_mitre(turn: float, outside: str) -> None:
    """From the outer face of the free end, 44.5 beyond its post, to the corner post's middle: 1000 + 44.5; half the turn."""
    made = corner(turn, "left", None, **OVER)
    first, second = rail(made, "A", "top, over all posts"), rail(made, "B", "top, over all posts")
    assert first.length == pytest.approx(1044.5) and second.length == pytest.approx(1044.5)
    assert ends(first) == [(0, 0, ""), (0, abs(turn) / 2, outside)]
    assert ends(second) == [(0, abs(turn) / 2, outside), (0, 0, "")]


def test_two_runs_that_end_on_one_post() -> None:
    """The second run arrives at the first one's last post too: walking it, the turn is to the other side, the outside stays."""
    made = plan(
        [
            run([1000], deck="left", **SWIVEL, **OVER),
            {"posts": ["3", "2"], "spans": [1000], "turn": "left 90 deg", "deck": "right", **SWIVEL, **OVER},
        ]
    )
    assert ends(rail(made, "A", "top, over all posts"))[1] == (0, 45, "deck")
    assert ends(rail(made, "B", "top, over all posts"))[1] == (0, 45, "deck")


def test_a_rail_over_a_raked_corner_has_its_saw_settings() -> None:
    """Rake 20, mitre 22.5: mitre atan(tan 22.5 / cos 20) = 23.79 deg, bevel asin(cos 22.5 x sin 20) = 18.42 deg."""
    made = corner(45.0, "left", "bisect", count=9, ramp=ramp(20.0))
    end = rail(made, "A", "top, 1 to 2").finish
    mitre, bevel = (degrees(angle) for angle in saw(end))
    assert mitre == pytest.approx(23.79, abs=0.01) and bevel == pytest.approx(18.42, abs=0.01)
    assert end_words(made.job, end) == (
        "plumb 20.0 deg, mitre 22.5 deg, longer on the open side (on the saw, underside down: mitre 23.8 deg, bevel 18.4 deg)"
    )
    # the same cut as a plane: turned to the rail's own axes its normal has these two angles
    t, m = radians(20), radians(22.5)
    along, across, square = cos(m) * cos(t), sin(m), cos(m) * sin(t)
    assert degrees(atan(across / along)) == pytest.approx(mitre) and sin(radians(bevel)) == pytest.approx(square)


def test_reports_name_the_cuts() -> None:
    made = corner(45.0, "left", "bisect", count=9)
    told = "\n".join(report(made, []))
    assert "at 1 square" in told and "at 2 mitre 22.5 deg, longer on the open side" in told
    cut = document(made)["takeoff"]["rails"][0]
    assert cut["finish"] == {
        "post": "2",
        "plumb_degrees": 0.0,
        "mitre_degrees": 22.5,
        "longer_side": "open",
        "round_mm": 0.0,
        "longer_edge": "",
    }


def leaning(first: Any = None, last: Any = None, **keys: Any) -> Plan:
    built = {post: {"lean": lean} for post, lean in (("1", first), ("2", last)) if lean}
    return plan(run([1000], count=9, height=1000, **keys), as_built=built)


def test_a_rail_between_posts_that_lean() -> None:
    """The underside lies 1000 - 38 = 962 up. Post 1 leans 5 mm per m forward: 4.81 nearer; post 2 3 mm per m back: 2.886.
    1000 - 89 - 4.81 - 2.886 = 903.304. Cut atan(0.005) = 0.286 deg: where the run leaves a post that leans forward the
    underside is longer, where it comes to one that leans back the underside too."""
    made = leaning([5, 0], [-3, 0])
    cut = rail(made, "A", "top, 1 to 2")
    assert cut.length == pytest.approx(903.304, abs=1e-3)
    assert [degrees(end.plumb) for end in (cut.start, cut.finish)] == pytest.approx([0.28648, 0.17189], abs=1e-4)
    assert [end.leaning for end in (cut.start, cut.finish)] == ["below", "below"]
    assert end_words(made.job, cut.start) == "off square 0.3 deg, longer below (the post leans)"


def test_the_bottom_rail_lies_lower_and_moves_less() -> None:
    """Its underside 80 up: 5 mm per m are 0.4 there."""
    made = leaning([5, 0], bottom_rail={"depth": 38}, bottom_gap=80)
    assert rail(made, "A", "bottom, 1 to 2").length == pytest.approx(1000 - 89 - 0.4, abs=1e-3)
    assert rail(made, "A", "top, 1 to 2").length == pytest.approx(1000 - 89 - 4.81, abs=1e-3)


def test_a_lean_across_changes_no_length() -> None:
    cut = rail(leaning([0, 5]), "A", "top, 1 to 2")
    assert cut.length == pytest.approx(911) and end_words(leaning([0, 5]).job, cut.start) == "square"


@pytest.mark.parametrize("lean", [6.0, -6.0])
def test_both_edges_of_a_raked_rail_end_on_a_leaning_face(lean: float) -> None:
    """10 degrees, a post that leans: the underside's end and a point 40 mm square above it, as the cut says, lie in the
    face's plane."""
    made = leaning([lean, 0], ramp=ramp(10.0))
    cut = rail(made, "A", "top, 1 to 2")
    line = made.runs[0]
    frame = made.face_by_id["1/toward 2"].frame
    rake, base = radians(10), made.post_by_id["1"].prism.base
    under = line.underside(0.0) - base.z
    start_x = lean / 1000 * under + made.post_by_id["1"].prism.half_extent(line.level)
    start = Vector(base.x + start_x, base.y, base.z + under + start_x * tan(rake))
    longer = 1.0 if cut.start.leaning == "below" else -1.0
    shift = 40 * tan(cut.start.plumb) * longer  # along the rail, further in above
    above = start.plus(Vector(cos(rake) * shift - sin(rake) * 40, 0.0, sin(rake) * shift + cos(rake) * 40))
    across = [point.minus(frame.origin).dot(frame.normal) for point in (start, above)]
    assert across[1] == pytest.approx(across[0], abs=1e-6)
