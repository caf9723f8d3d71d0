"""The second demo job shows every shape of post in every role, and what an installer may find on site."""

from __future__ import annotations

from functools import cache

from packet_pages import PROJECT

from jiggen.build import Survey, survey
from jiggen.compose.fittings import figures
from jiggen.job.model import PostKind
from jiggen.job.read import read_job


@cache
def found() -> Survey:
    return survey(read_job((PROJECT / "jiggen" / "job" / "demo_all.toml").read_text(encoding="utf-8")))


def shape(kind: PostKind) -> str:
    """What an installer would call a kind of post."""
    if kind.core is not None:
        return f"sleeved {kind.shape}"
    flat = kind.shape == "rectangular" and min(kind.along, kind.across) < 15.0
    return "flat bar" if flat else f"{'hollow' if kind.wall else 'solid'} {kind.shape}"


def test_no_stop() -> None:
    assert found().stops == ()


def test_every_shape_has_an_end_and_a_line_post() -> None:
    posts = {(shape(post.kind), post.role) for post in found().plan.posts}
    wanted = {
        "solid square",
        "solid rectangular",
        "solid round",
        "solid octagon",
        "hollow round",
        "hollow square",
        "sleeved square",
        "flat bar",
    }
    assert {(name, role) for name in wanted for role in ("end", "line")} <= posts


def test_every_role_is_there() -> None:
    assert {post.role for post in found().plan.posts} == {"end", "line", "corner", "transition", "spacer"}


def test_every_post_has_a_sheet_with_marks() -> None:
    plan = found().plan
    drawn = {post for one in found().sheets for post in one.group.posts}
    assert drawn == {post.id for post in plan.posts}
    assert {one.group.kind for one in found().sheets} == {"face", "wrap", "round"}


def test_one_post_is_as_built_and_its_cables_straight() -> None:
    """Post 41 was built 1/8 in over the plan's 34 1/2 in: its holes lie 3.175 mm further below its own underside."""
    plan = found().plan
    (line,) = [line for line in plan.runs if "41" in line.posts]
    marks = [m for face in plan.post_by_id["41"].faces for m in face.marks if m.purpose == "cable"]
    assert len(marks) == 2 * len(line.drops)
    # the lean of 3 and 2 mm a metre moves a drop by no more than 3 mm a metre of the half width, 57 mm: 0.2 mm
    assert all(abs(mark.drop - line.drops[(mark.cable or 0) - 1] - 3.175) < 0.2 for mark in marks)


def test_grommets_and_every_fitting_are_on_the_sheet_to_compare() -> None:
    job = found().plan.job
    sample = next(s for s in found().plan.samples if s.group.kind == "fitting")
    told = {outline.what: outline for outline in sample.face.outlines}
    ends = {end for run in job.runs for end in (run.start, run.finish) if end}
    assert ends <= set(told) and {"fixed stud", "bolt", "lug"} <= ends
    pipe = told["grommet, post pipe"]
    assert pipe.purpose == "ring" and pipe.across == pipe.up == 9.525  # 3/8 in
    hole = next(mark for mark in sample.face.marks if mark.v == pipe.v)
    assert hole.diameter >= 9.525 and hole.through
    assert "9.5 mm" in figures(job, pipe)[0]
