"""What the tape said on site: the straight cable decides what moves, by how much, and which posts leave their sheet."""

from __future__ import annotations

from math import atan, cos, degrees, hypot, pi
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jobs_made import SWIVEL, Keys, between, centres, face, job, marks, of_level, plan, ramp, run, stair

from jiggen.build import survey
from jiggen.compose.band import as_built_words
from jiggen.compose.bench import strip
from jiggen.plan.built import planned_undersides
from jiggen.plan.model import Plan
from jiggen.problems import JobError

FEW = settings(max_examples=25)
SPANS = [1000, 1500, 1200]
LENGTH = 3700.0  # their sum
HALF = 44.5  # of the posts of 89 mm


def near(value: Any, within: float = 1e-6) -> Any:
    return pytest.approx(value, abs=within)


def made(as_built: Keys | None = None, **keys: Any) -> Plan:
    tables = {"as_built": as_built} if as_built else {}
    return plan(run(SPANS, count=8, height=900, start="fixed swivel", finish="fixed swivel", **keys), **tables)


PLANNED = 900 - 38.0  # underside over the deck: the rail is 38 mm deep unless a job says otherwise


def drops(found: Plan, post: str, toward: str) -> list[float]:
    return [mark.drop for mark in marks(face(found, post, toward), "cable")]


def test_a_line_post_4_mm_high_moves_its_own_holes_alone() -> None:
    """Its underside is 4 mm higher, the cables stay where they were: 4 mm more from its underside down."""
    planned, built = made(), made({"2": {"underside": PLANNED + 4}})
    for toward in ("1", "3"):
        was, now = drops(planned, "2", toward), drops(built, "2", toward)
        assert [n - w for n, w in zip(now, was, strict=True)] == near([4.0] * 8)
    for post, toward in (("3", "2"), ("3", "4")):
        assert drops(built, post, toward) == near(drops(planned, post, toward))
    for post, toward in (("1", "2"), ("4", "3")):
        was_centres, centre = centres(face(planned, post, toward)), centres(face(built, post, toward))
        assert [c[1] for c in centre] == near([c[1] for c in was_centres])


def brackets(found: Plan, post: str, toward: str) -> list[tuple[float, float]]:
    """Drop and height over the walking surface of the screws of a face's brackets, those of the top rail first."""
    return [(mark.drop, mark.above_tread) for mark in marks(face(found, post, toward), "bracket")]


@pytest.mark.parametrize("taped", ["1", "2", "4"])
def test_brackets_lie_where_the_rails_do(taped: str) -> None:
    """The top rail's go down with the taped underside, at a line post too, 14 mm; elsewhere, and at the bottom rail, which
    lies over the deck as planned, they stay. Their drops are from the underside: there it is the other way round."""
    keys: Keys = {"bracket": "side plate", "bottom_rail": {"depth": 40}, "bottom_gap": 50}
    planned, built = made(**keys), made({taped: {"underside": PLANNED - 14}}, **keys)
    for post, toward in (("1", "2"), ("2", "1"), ("2", "3"), ("3", "2"), ("4", "3")):
        was, now = brackets(planned, post, toward), brackets(built, post, toward)
        assert len(was) == 4  # two screws each
        down = 14.0 if post == taped else 0.0
        assert [n[1] for n in now[:2]] == near([w[1] - down for w in was[:2]])
        assert [n[0] for n in now[:2]] == near([w[0] for w in was[:2]])
        assert [n[1] for n in now[2:]] == near([w[1] for w in was[2:]])
        assert [n[0] for n in now[2:]] == near([w[0] - down for w in was[2:]])


def test_an_end_post_6_mm_high_lifts_the_middle_posts_by_their_share() -> None:
    """The cable goes straight from end to end: x of 3700 along it lies 6 x / 3700 higher than planned."""
    planned, built = made(), made({"4": {"underside": PLANNED + 6}})
    for post, toward, x in (
        ("2", "1", 1000 - HALF),
        ("2", "3", 1000 + HALF),
        ("3", "2", 2500 - HALF),
        ("3", "4", 2500 + HALF),
    ):
        was, now = drops(planned, post, toward), drops(built, post, toward)
        assert [w - n for n, w in zip(now, was, strict=True)] == near([6 * x / LENGTH] * 8)
    # at the end post the drop from its own underside is kept at its axis; the pivot is 44.5 + 19.05 before it
    was_end, now_end = centres(face(planned, "4", "3")), centres(face(built, "4", "3"))
    pivot = HALF + 19.05
    assert [n[1] - w[1] for n, w in zip(now_end, was_end, strict=True)] == near([6 * pivot / LENGTH] * 8)


@FEW
@given(lifts=st.lists(between(-12, 12), min_size=4, max_size=4), degrees=between(1, 20))
def test_drop_is_own_underside_less_the_straight_line(lifts: list[float], degrees: float) -> None:
    """On a ramp: all four undersides measured, each face's drop by hand from both ends' own."""
    t = degrees * pi / 180
    keys: Keys = {"ramp": ramp(degrees)}
    planned = made(**keys)
    under = 900 - 38 / cos(t)
    built = made({str(i): {"underside": under + lift} for i, lift in enumerate(lifts, 1)}, **keys)
    for post, toward, x in (("2", "1", 1000 - HALF), ("2", "3", 1000 + HALF), ("3", "2", 2500 - HALF)):
        line = lifts[0] + (lifts[3] - lifts[0]) * x / LENGTH
        wanted = lifts[int(post) - 1] - line
        was, now = drops(planned, post, toward), drops(built, post, toward)
        assert [n - w for n, w in zip(now, was, strict=True)] == near([wanted] * 8, 1e-6)


@pytest.mark.parametrize("lean", [5.0, -3.5])
def test_line_post_leaning_across(lean: float) -> None:
    """mm a metre to the left: at a height h along the post the axis stands h sin(atan 0.005) to the left, so the
    cable is that far to the right; seen from post 1, right is the other way round."""
    built = made({"2": {"lean": [0, lean]}})
    line = built.runs[0]
    a = atan(lean / 1000)
    for toward, hand in (("3", -1), ("1", 1)):
        for mark, drop in zip(marks(face(built, "2", toward), "cable"), line.drops, strict=True):
            # height PLANNED - drop over the deck, on the post's foot: across h sin a, along the post h cos a
            height = PLANNED - drop
            assert mark.u == near(hand * height * (lean / 1000) / hypot(1, lean / 1000))
            assert mark.v == near(height * cos(a))
            # the axis is level along the run and slants in the face against the post
            assert mark.axis == near((0, 0, 1))


def test_end_post_leaning_across_takes_the_cables_with_it() -> None:
    """5 mm a metre at post 4: a cable at a height h ends 0.005 h to the left, at post 3 2500 / 3700 of that."""
    built = made({"4": {"lean": [0, 5]}})
    for mark, drop in zip(marks(face(built, "3", "4"), "cable"), built.runs[0].drops, strict=True):
        height = PLANNED - drop
        # the run's left is to the right on the face that looks ahead
        assert mark.u == near(0.005 * height * (2500 + HALF) / LENGTH)
    for centre, drop in zip(centres(face(built, "4", "3")), built.runs[0].drops, strict=True):
        # 44.5 + 19.05 mm before the axis the slanting cable lies that share of its 0.005 h to the run's right,
        # which is to the right on this face too
        height = PLANNED - drop
        assert centre[0] == near(0.005 * height * (HALF + 19.05) / LENGTH, 1e-3)


def test_line_post_leaning_along() -> None:
    """5 mm a metre ahead: the cable enters where the leaning face is; the hole slants 0.005 against the post."""
    built = made({"2": {"lean": [5, 0]}})
    a = atan(0.005)
    line = built.runs[0]
    for toward, sign in (("3", 1), ("1", -1)):
        for mark, drop in zip(marks(face(built, "2", toward), "cable"), line.drops, strict=True):
            height = PLANNED - drop
            # the face's foot is 44.5 cos a ahead and 44.5 sin a under the deck; along it up to the level of the cable
            foot = -sign * HALF * (0.005 / hypot(1, 0.005))
            assert mark.v == near((height - foot) / cos(a))
            assert mark.u == near(0)
            # into the post: back along the run on the face ahead, against an axis that leans ahead
            assert mark.axis.y == near(-sign * 0.005 / hypot(1, 0.005))
            assert mark.depth == near(89 / cos(a))


@pytest.mark.parametrize(("way", "measured"), [("spans", 1040.0), ("clear", 1040.0 - 89), ("slope", 0.0)])
def test_span_measured_on_site(way: str, measured: float) -> None:
    """Centre to centre, clear between posts of 89 mm, or along the slope: 1040 mm on the level each time."""
    keys: Keys = {"ramp": ramp(8)} if way == "slope" else {}
    told = 1040 / cos(8 * pi / 180) if way == "slope" else measured
    built = made({"2": {"span_to_next": told, "measured": way}}, **keys)
    assert built.runs[0].stations == near((0, 1000, 2040, 3240))
    base = built.post_by_id["3"].prism.base
    assert (base.x, base.y) == near((2040, 0))


def test_spans_of_a_run_clear_and_along_the_slope() -> None:
    keys: Keys = {"posts": ["1", "2", "3"], "count": 8, "ramp": ramp(10)}
    slope = plan({**keys, "slope": [1000, 800]})
    c = cos(10 * pi / 180)
    assert slope.runs[0].stations == near((0, 1000 * c, 1800 * c))
    clear = plan({**keys, "clear": [900, 700]})
    assert clear.runs[0].stations == near((0, 989, 989 + 789))


def test_notes_name_who_leaves_the_sheet() -> None:
    """Posts 2 and 3 are alike as planned; 2 is 4 mm high, so it has a sheet of its own now."""
    planned, built = made(), made({"2": {"underside": PLANNED + 4}})
    (before,) = [group for group in planned.groups if "2/toward 1" in group.faces]
    assert set(before.posts) == {"2", "3"}
    notes = {(p.where, p.found) for p in of_level(built.problems, "note") if "as built" in p.found}
    left = "as built it leaves the sheet that it shared with post 3: their holes differ by more than 0.1 mm"
    assert ("post 2", left) in notes
    assert ("post 2", "as built its holes lie 4.0 mm further below the underside") in notes
    (own,) = [group for group in built.groups if "2/toward 1" in group.faces]
    assert own.posts == ("2",)


def test_the_note_names_the_larger_of_the_two_movements_and_the_sheet_what_was_taped() -> None:
    """Leaning 10 mm a metre to the left the post is some 8 mm aside under the rail; its underside is as planned."""
    built = made({"2": {"lean": [0, 10]}})
    (note,) = [p for p in of_level(built.problems, "note") if p.where == "post 2" and "its place as planned" in p.found]
    assert "aside" in note.found
    for lean, told in (([0, 10], "LEAN 10 LEFT"), ([4, -6], "LEAN 4 FORWARD, 6 RIGHT"), ([-4, 0], "LEAN 4 BACK")):
        one = made({"2": {"lean": lean, "underside": PLANNED + 4}})
        group = next(group for group in one.groups if group.posts == ("2",))
        under = f"{PLANNED + 4:.1f} mm"
        assert as_built_words(strip(one, group, 190.0).first) == [f"AS BUILT: UNDERSIDE {under}, {told} (MM A M)"]


def test_no_note_under_3_mm() -> None:
    built = made({"2": {"underside": PLANNED + 2.9}})
    assert not [p for p in built.problems if "holes lie" in p.found]
    told = made({"2": {"underside": PLANNED - 3.1}})
    (note,) = [p for p in told.problems if "holes lie" in p.found]
    assert (note.level, note.where) == ("note", "post 2")
    assert "3.1 mm nearer to the underside" in note.found


def test_who_leaves_is_told_where_the_cables_carry_a_neighbour_along() -> None:
    """The end post is 12 mm high: posts 2 and 3 move by 3.2 and 8.1 mm and no longer share, though only 4 was off."""
    built = made({"4": {"underside": PLANNED + 12}})
    sheets = {post: {g.id for g in built.groups if post in g.posts} for post in ("2", "3")}
    assert not sheets["2"] & sheets["3"]
    told = [p for p in of_level(built.problems, "note") if "leaves the sheet" in p.found]
    assert told and any("post 2" in p.where or "post 3" in p.where for p in told)


def test_opening_under_the_rail_is_judged_with_it() -> None:
    """Planned 93.5 mm under the rail; a post built 10 mm high leaves 103.5, a sphere of 101.6 passes (IRC R312.1.3)."""
    line = made(first=95.1, spacing=95.1).runs[0]
    assert line.openings[0] == near(95.1 - 3.2 / 2)
    from jiggen.review import review

    built = plan(
        run(SPANS, count=8, height=900, first=95.1, spacing=95.1),
        as_built={"2": {"underside": PLANNED + 10}},
    )
    told = [p for p in of_level(review(built), "stop") if "under the rail" in p.found]
    assert told and told[0].where.startswith("2/") and "103.5 mm" in told[0].found
    fine = plan(
        run(SPANS, count=8, height=900, first=95.1, spacing=95.1),
        as_built={"2": {"underside": PLANNED + 7}},
    )
    assert not [p for p in review(fine) if "under the rail" in p.found]


def test_a_post_of_a_stair_as_built() -> None:
    """The same on a stair: underside over the tread at the post's axis."""
    ground: Keys = {"stair": stair(178, 279, 120, overhang=25), "bottom_gap": 20}
    planned = made(**ground)
    line = planned.runs[0]
    tread = line.tread_below(1000.0)
    under = 900 - line.rail_drop + tread
    same = made({"2": {"underside": under}}, **ground)
    assert drops(same, "2", "1") == near(drops(planned, "2", "1"))
    built = made({"2": {"underside": under + 5}}, **ground)
    for toward in ("1", "3"):
        pairs = zip(drops(built, "2", toward), drops(planned, "2", toward), strict=True)
        assert [now - was for now, was in pairs] == near([5.0] * 8)


# A level run meets a stair at post 3, its axis 120 mm behind the top nosing. Undersides there: 900 - 38 = 862 on the
# level; on the stair of 178 to 279 the line over the nosings climbs 178 / 279 x 120 = 76.559 behind the nosing, and the
# rail is 38 / cos t deep upright, cos t = 279 / hypot(178, 279): 900 + 76.559 - 45.076 = 931.483.
LEVEL: Keys = run([1000, 1000], id="walk", height=900, count=8, **SWIVEL)
DOWN: Keys = run([1000, 1000], 3, id="steps", height=900, stair=stair(178, 279, goes="down"), **SWIVEL)
STEPS = 900 + 178 / 279 * 120 - 38 * hypot(178, 279) / 279


def met(underside: Any = None) -> Plan:
    return plan([LEVEL, DOWN], **({"as_built": {"3": {"underside": underside}}} if underside is not None else {}))


def places(found: Plan) -> list[float]:
    return [mark.v for post in found.posts for one in post.faces for mark in one.marks]


def test_planned_undersides_written_back_by_run_move_nothing() -> None:
    planned = met()
    unders = planned_undersides(planned.runs, "3", planned.post_by_id["3"].prism.base.z)
    assert unders == near({"walk": 862.0, "steps": STEPS})
    built = met({"walk": 862.0, "steps": STEPS})
    assert places(built) == near(places(planned))
    assert not [p for p in built.problems if "as built" in p.found or p.where.startswith("as_built")]


def test_each_run_moves_by_its_own_underside() -> None:
    """The stair's rail is 6 mm high at post 3 and as planned at 5: halfway between, at post 4, 3 mm higher or so; the
    level run, of which nothing is written, stays."""
    planned, built = met(), met({"steps": STEPS + 6})
    assert drops(built, "2", "1") == near(drops(planned, "2", "1"))
    # the face against post 3 stands 44.5 before post 4's axis: 6 x (1 - 955.5 / 2000) = 3.1335 higher
    moved = [was - now for was, now in zip(drops(planned, "4", "3"), drops(built, "4", "3"), strict=True)]
    assert moved == near([6 * (1 - (1000 - HALF) / 2000)] * len(moved))


@pytest.mark.parametrize("underside", [862.0, 931.5, 900.0])
def test_one_length_for_two_undersides_is_refused(underside: float) -> None:
    read = job([LEVEL, DOWN], as_built={"3": {"underside": underside}})
    with pytest.raises(JobError) as raised:
        survey(read)
    (told,) = raised.value.problems
    assert (told.level, told.where) == ("stop", "as_built.3.underside")
    assert "run walk 862.0 mm, run steps 931.5 mm" in told.found
    assert told.remedy.endswith('write underside = { walk = "...", steps = "..." }')


def test_one_length_serves_two_runs_of_one_underside() -> None:
    """Two level runs round a corner: one underside, one reading; both runs follow it."""
    turned = run([1000, 1000], 3, id="back", height=900, count=8, turn="right 90 deg", **SWIVEL)
    built = plan([LEVEL, turned], as_built={"3": {"underside": PLANNED + 4}})
    assert not [p for p in built.problems if p.where.startswith("as_built")]
    assert [line.lifts for line in built.runs] == [near((0, 0, 4)), near((4, 0, 0))]


@pytest.mark.parametrize(
    ("underside", "where", "remedy"),
    [
        ({"step": 900}, "as_built.3.underside.step", 'write "steps"'),
        ({"walk": 9}, "as_built.3.underside.walk", "write a length"),
        ({}, "as_built.3.underside", "write a length, or one for each run"),
    ],
)
def test_wrong_runs_and_lengths_are_told(underside: Keys, where: str, remedy: str) -> None:
    with pytest.raises(JobError) as raised:
        job([LEVEL, DOWN], as_built={"3": {"underside": underside}})
    assert any(told.where == where and told.remedy.startswith(remedy) for told in raised.value.problems)


@pytest.mark.parametrize("lean", [[20, 0], [0, 15], [12, -30], [-4, 0]])
def test_a_sheet_on_the_deck_stands_on_a_level_surface_at_a_post_that_leans(lean: list[float]) -> None:
    """From the deck line of either face a mark lies as far up the post as its height over the deck in the world says."""
    built = made({"2": {"lean": lean}})
    base = built.post_by_id["2"].prism.base.z
    for toward in ("1", "3"):
        one = face(built, "2", toward)
        assert one.tread[0] == near(-HALF * one.frame.normal.z / one.frame.up.z)
        for mark in marks(one, "cable"):
            up = mark.v - one.tread[0] - one.tread[1] * mark.u
            assert up * one.frame.up.z == near(one.frame.world(mark.u, mark.v).z - base)
    # leaning 20 mm a m along: in front the deck lies 44.5 x 0.020 = 0.89 mm further up the post than behind its middle
    if lean == [20, 0]:
        assert [face(built, "2", toward).tread[0] for toward in ("3", "1")] == near([0.89, -0.89], 1e-3)


def test_the_deck_line_round_a_pipe_on_a_ramp_slants_with_it() -> None:
    """60 mm across on a ramp of 1 in 12: 5 mm from the high side to the low one."""
    built = plan(
        run(
            [1000, 1000],
            count=8,
            height=1000,
            ramp=ramp(degrees(atan(1 / 12))),
            start="fixed swivel",
            finish="fixed swivel",
        ),
        post={"pipe": {"shape": "round", "diameter": 60, "wall": 3, "material": "steel"}},
        sheet={"datum": "deck"},
    )
    group = next(group for group in built.groups if group.posts == ("2",))
    by_name = {bench.face.name: bench for bench in strip(built, group, 190.0).benches}
    low, high = by_name["toward 1"], by_name["toward 3"]
    assert [low.rises(0.0), low.rises(pi)] == near([0.0, 5.0])
    assert high.seat - low.seat == near(5.0)  # the same line, told from the other face
    assert high.rises(pi / 2.0) == near(-2.5)
