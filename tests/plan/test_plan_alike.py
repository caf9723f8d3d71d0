"""Which faces share a sheet."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jobs_made import RIGID, SWIVEL, Keys, between, plan, ramp, run, stair

from jiggen.plan.model import Plan

FEW = settings(max_examples=30)


def sheet_of(made: Plan, face: str) -> str:
    (found,) = [group.id for group in made.groups if face in group.faces]
    return found


@pytest.mark.parametrize(
    ("alike", "off", "shared"),
    [(0.5, 0.4, True), (0.5, 0.6, False), (0.1, 0.09, True), (0.1, 0.11, False), (0, 0, True), (0, 0.01, False)],
)
def test_posts_that_differ_by_less_than_alike_share_a_sheet(alike: float, off: float, shared: bool) -> None:
    """The second run's cables all lie ``off`` lower."""
    runs = [
        run([1000, 1000], count=9, spacing=76, first=70),
        run([1000, 1000], 11, count=9, spacing=76, first=70 + off),
    ]
    made = plan(runs, job={"alike": alike})
    assert (sheet_of(made, "2/toward 1") == sheet_of(made, "12/toward 11")) is shared
    assert (sheet_of(made, "1/toward 2") == sheet_of(made, "11/toward 12")) is shared


def test_level_posts_alike_share_and_the_sheet_lists_them_all() -> None:
    made = plan(run([1000] * 9, count=9))
    group = next(group for group in made.groups if "2/toward 1" in group.faces)
    assert group.posts == tuple(str(number) for number in range(2, 10))
    assert set(group.faces) == {f"{n}/toward {n + side}" for n in range(2, 10) for side in (-1, 1)}
    # first and last post: plates of one pattern, whose screws sit alike
    assert sheet_of(made, "1/toward 2") == sheet_of(made, "10/toward 9")


def test_another_width_drill_or_screw_never_shares() -> None:
    runs = [run([1000, 1000], count=9), run([1000, 1000], 11, count=9)]
    kinds: Keys = {
        "post": {"timber": {"width": 89, "material": "redwood"}, "other": {"width": 95, "material": "redwood"}}
    }
    stands = {"line": "timber", "end": "timber", "only": {"12": "other"}}
    made = plan(runs, posts=stands, **kinds)
    assert sheet_of(made, "2/toward 1") != sheet_of(made, "12/toward 11")
    kinds["post"]["other"] = {"width": 89, "material": "redwood", "grommet": 12}
    made = plan(runs, posts=stands, **kinds)
    assert sheet_of(made, "2/toward 1") != sheet_of(made, "12/toward 11")
    kinds["post"]["other"] = {"width": 89, "material": "redwood"}
    made = plan(runs, posts=stands, **kinds)
    assert sheet_of(made, "2/toward 1") == sheet_of(made, "12/toward 11")


@pytest.mark.parametrize("degrees", [0.2, 5.0, 28.0])
@pytest.mark.parametrize("ends", [SWIVEL, RIGID, {"start": "fixed stud", "finish": "fixed stud"}])
def test_raked_near_and_far_face_never_share(degrees: float, ends: Keys) -> None:
    made = plan(run([1000, 1000, 1000], count=9, ramp=ramp(degrees), **ends), job={"alike": 2})
    assert sheet_of(made, "2/toward 1") != sheet_of(made, "2/toward 3")
    assert sheet_of(made, "2/toward 1") == sheet_of(made, "3/toward 2")
    assert sheet_of(made, "1/toward 2") != sheet_of(made, "4/toward 3")


def test_datum_on_the_walking_surface_tells_stair_posts_apart() -> None:
    """Posts at other distances behind their nosings: alike under the rail, not over the tread."""
    keys = run([930, 930, 930], count=9, stair=stair(175, 250, 120), bottom_gap=10)  # 930 mod 250 = 180
    under, over = plan(keys), plan(keys, sheet={"datum": "deck"})
    assert sheet_of(under, "2/toward 1") == sheet_of(under, "3/toward 2")
    assert sheet_of(over, "2/toward 1") != sheet_of(over, "3/toward 2")


grounds = st.one_of(
    st.just({}),
    between(0.1, 25).map(lambda degrees: {"ramp": ramp(degrees)}),
    between(60, 200).map(lambda behind: {"stair": stair(170, 270, behind, "down"), "bottom_gap": 15}),
)


@FEW
@given(
    found=st.lists(st.tuples(grounds, st.integers(1, 5), between(-80, 80)), min_size=1, max_size=3),
    wired=st.booleans(),
    alike=st.sampled_from([0, 0.1, 2]),
)
def test_every_face_with_marks_is_in_exactly_one_group(
    found: list[tuple[Keys, int, float]], wired: bool, alike: float
) -> None:
    runs, number = [], 1
    for ground, spans, angle in found:
        hand = "left" if angle > 0 else "right"
        more = {} if number == 1 else {"turn": f"{hand} {abs(angle)} deg"}
        wire = {"wire": {"drop": 50, "face": "open side", "diameter": 8}} if wired else {}
        runs.append(run([900] * spans, number, count=9, bracket="side plate", **ground, **more, **wire, **SWIVEL))
        number += spans
    made = plan(runs, job={"alike": alike})
    counted = Counter(face for group in made.groups for face in group.faces)
    assert counted == Counter(f.id for post in made.posts for f in post.faces if f.marks)
    for group in made.groups:
        faces = [made.face_by_id[name] for name in group.faces]
        assert group.posts == tuple(dict.fromkeys(face.post for face in faces))
        first = faces[0]
        for other in faces[1:]:
            assert first.slope == pytest.approx(other.slope, abs=0.001)
            for a, b in zip(first.marks, other.marks, strict=True):
                assert (a.label, a.purpose, a.drill) == (b.label, b.purpose, b.drill)
                assert abs(a.u - b.u) <= alike + 1e-9
                assert abs(a.drop - b.drop) <= alike + 1e-6
