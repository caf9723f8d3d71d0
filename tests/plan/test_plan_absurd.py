"""Whatever the reader accepts becomes a plan, however absurd: finite numbers, every trouble a problem."""

from __future__ import annotations

from math import isfinite
from typing import Any

from hypothesis import event, given, settings
from hypothesis import strategies as st
from jobs_made import Keys, between, text

from jiggen.job.model import Job
from jiggen.job.read import read_job
from jiggen.plan.document import document, to_json
from jiggen.plan.make import make_plan
from jiggen.problems import JobError
from jiggen.review import review

GOES = st.sampled_from(["up", "down"])
FITTINGS = ["fixed plate", "take-up swivel", "fixed stud", "rigid plate", "own"]


def edges(low: float, high: float) -> st.SearchStrategy[float]:
    """Numbers of a range, its two ends often."""
    return st.one_of(st.just(low), st.just(high), between(low, high))


def maybe(**keys: st.SearchStrategy[Any]) -> st.SearchStrategy[Keys]:
    return st.fixed_dictionaries({}, optional=keys)


kinds = st.one_of(
    st.fixed_dictionaries(
        {"width": edges(6, 610)},
        optional={"rotate": edges(-180, 180).map(lambda d: f"{d} deg") | st.just("bisect"), "wall": edges(0.5, 50)},
    ),
    st.fixed_dictionaries({"shape": st.just("round"), "diameter": edges(6, 610)}, optional={"wall": edges(0.5, 50)}),
    st.fixed_dictionaries(
        {"shape": st.just("rectangular"), "along": edges(6, 610), "across": edges(6, 610)},
        optional={"bore": st.sampled_from(["along", "square"]), "grommet": edges(3, 50)},
    ),
    st.fixed_dictionaries({"size": st.sampled_from(["4x4", "6x6", "50x50x3 mm tube", "1-1/2 pipe"])}),
).flatmap(
    lambda kind: st.sampled_from(["redwood", "red oak", "316 stainless", "aluminium", "fog"]).map(
        lambda material: kind | {"material": material}
    )
)
stairs = st.fixed_dictionaries(
    {"rise": edges(50, 300), "going": edges(100, 1200), "goes": GOES, "first_behind_nosing": edges(-1200, 1200)},
    optional={"overhang": edges(0, 75), "last_behind_nosing": edges(-1200, 1200)},
)
ramps = st.fixed_dictionaries({"slope": edges(0.1, 30).map(lambda d: f"{d} deg"), "goes": GOES})
guards = maybe(
    height=edges(200, 2500),
    deck=st.sampled_from(["left", "right"]),
    rail=maybe(depth=edges(5, 250), sits=st.sampled_from(["between", "over"])),
    bottom_rail=st.fixed_dictionaries({"depth": edges(5, 250)}),
    bottom_gap=edges(0, 600),
    spacing=edges(12, 300),
    count=st.integers(1, 200),
    first=edges(3, 600),
    bracket=st.just("side plate"),
    stagger=st.just("auto"),
)
bars = st.fixed_dictionaries({"kind": st.sampled_from(["one", "two"]), "each": st.integers(1, 20)})
site = maybe(underside=edges(50, 3000), lean=st.tuples(edges(-100, 100), edges(-100, 100)).map(list))
fitting = st.fixed_dictionaries(
    {"outline": st.just([300, 300]), "screws": st.just([[150, 150], [-150, 0]]), "setback": edges(300, 600)},
    optional={
        "pivot": edges(0, 300) | st.tuples(edges(0, 300), edges(-150, 150)).map(list),
        "flange": edges(0, 25),
        "passes_through": edges(1.5, 50),
    },
).flatmap(
    lambda found: st.sampled_from(["#14 x 2 1/2 in", "M6 x 40 mm", "lag 5/16 x 3 in", "#2 x 1 in"]).map(
        lambda screw: found | {"screw": screw}
    )
)


@st.composite
def jobs(draw: st.DrawFn) -> str:
    runs: list[Keys] = []
    number = 1
    for index in range(draw(st.integers(1, 3))):
        spans = draw(st.lists(edges(100, 10000), min_size=1, max_size=3))
        number = number if index and draw(st.booleans()) else number + index * 10
        keys: Keys = {
            "posts": [str(number + step) for step in range(len(spans) + 1)],
            draw(st.sampled_from(["spans", "clear"])): spans,
            "start": draw(st.sampled_from(FITTINGS)),
            "finish": draw(st.sampled_from(FITTINGS)),
            **draw(guards),
        }
        ground = draw(st.sampled_from(["", "stair", "ramp"]))
        if ground:
            keys[ground] = draw(stairs if ground == "stair" else ramps)
        if index and draw(st.booleans()):
            keys["turn"] = f"{draw(st.sampled_from(['left', 'right']))} {draw(edges(0, 180))} deg"
        if draw(st.booleans()):
            faces = [f"toward {keys['posts'][1]}", "deck side", "open side"]
            keys["wire"] = {
                "drop": draw(edges(-1000, 2500)),
                "face": draw(st.sampled_from(faces)),
                "diameter": draw(edges(1.5, 50)),
            }
        if draw(st.integers(0, 4)) == 0:
            keys["spacers"] = draw(bars)
        runs.append(keys)
        number += len(spans)
    if any("stagger" in one for one in runs):
        runs = [one | {"count": min(one.get("count", 9), 30)} for one in runs]
    cable = draw(
        maybe(
            diameter=edges(1.5, 13),
            tension=edges(20, 20000),
            clearance=edges(0, 13),
            trim=edges(-150, 300),
            side_force=edges(4, 2000),
            strand=st.sampled_from(["1x19", "7x7", "7x19"]),
        )
    )
    own = draw(kinds)
    if any("spacing" in one and one["spacing"] <= cable.get("diameter", 3.2) for one in runs):
        cable.pop("diameter", None)
    return text(
        runs,
        job=draw(
            maybe(
                code=st.sampled_from(["irc-2021", "ibc-2021", "abcb-2022", "adk-2013", "nbc-2020"]),
                fall=edges(0, 120_000),
                round_to=st.integers(1, 100).map(lambda tenths: tenths / 10),
                alike=edges(0, 2),
            )
        ),
        cable=cable,
        post={"one": own, "two": draw(kinds)},
        posts={"line": "one", "end": draw(st.sampled_from(["one", "two"]))},
        fitting={"own": draw(fitting)},
        sheet=draw(
            maybe(datum=st.sampled_from(["underside", "height line", "deck"]), kind=st.sampled_from(["face", "wrap"]))
        ),
        as_built={post: draw(site) for one in runs for post in one["posts"] if draw(st.integers(0, 5)) == 0},
        limits=draw(maybe(min_web=edges(0, 100), min_edge=edges(0, 100))),
    )


def read(source: str) -> Job | None:
    try:
        return read_job(source)
    except JobError as error:
        event("refused: " + error.problems[0].found[:24])
        return None


@settings(max_examples=120)
@given(source=jobs())
def test_absurd_job_makes_a_plan(source: str) -> None:
    job = read(source)
    if job is None:
        return
    made = make_plan(job)
    event("planned")
    found = (*made.problems, *review(made))
    assert to_json(document(made, problems=found))
    for post in made.posts:
        assert all(isfinite(part) for part in post.prism.base)
        for face in post.faces:
            for mark in face.marks:
                values = (
                    mark.u,
                    mark.v,
                    mark.drop,
                    mark.height,
                    mark.above_tread,
                    mark.diameter,
                    mark.depth,
                    *mark.axis,
                )
                assert all(isfinite(value) for value in values), mark.id
    for line in made.runs:
        assert all(isfinite(value) for value in (*line.drops, *line.openings, line.gap, line.spacing))
    for cut in made.takeoff.cables:
        assert isfinite(cut.length)
    for problem in found:
        assert problem.where and problem.found and problem.remedy, problem
