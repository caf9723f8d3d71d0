"""A Plan, or nothing yet, turned into what is to be measured on site, each with the place of the job file that it fills."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from jiggen.compose.sight import sight
from jiggen.job.model import PostKind, Ramp, Run, Stair
from jiggen.plan.built import planned_undersides, two_undersides
from jiggen.plan.model import Plan
from jiggen.plan.words import toml_key
from jiggen.problems import nth
from jiggen.shapes.known import SHAPES


@dataclass(frozen=True, slots=True)
class Ask:
    """One box: what to measure, the key of the job file that it fills; ``late``: whether before drilling is soon enough."""

    what: str
    key: str
    late: bool = False


@dataclass(frozen=True, slots=True)
class Stop:
    """One post of a strip: its name, what to measure there; ``span``: what to measure from it to the next."""

    name: str
    asks: tuple[Ask, ...]
    span: Ask | None


@dataclass(frozen=True, slots=True)
class Row:
    """One run: its name, its posts, what to measure of the whole; ``steps``: risers, 0 where there is no stair; ``climb``:
    1 where it goes up from its first post, -1 where it goes down, 0 on the level."""

    title: str
    stops: tuple[Stop, ...]
    whole: tuple[Ask, ...]
    steps: int
    path: str
    sloped: Literal["", "stair", "ramp"]
    climb: int = 0


def rows(plan: Plan) -> list[Row]:
    """What to measure of each run of a job; a post that an earlier run has is measured there."""
    found: list[Row] = []
    seen: dict[str, str] = {}
    for number, (run, line) in enumerate(zip(plan.job.runs, plan.runs, strict=True)):
        path = f"[[run]] {run.id}"
        stops = []
        for index, name in enumerate(run.posts):
            asks = () if name in seen else _post_asks(name, plan.post_by_id[name].kind, _two(plan, name))
            span = None
            if index + 1 < len(run.posts):
                span = Ask(f"span {name} to {run.posts[index + 1]}", f"{path}: {run.measured}, {nth(index + 1)}")
            stops.append(Stop(name, asks, span))
        for name in run.posts:
            seen.setdefault(name, run.id)
        steps = len(sight(plan, line).nosings)
        sloped: Literal["", "stair", "ramp"] = (
            "stair" if isinstance(run.ground, Stair) else "ramp" if isinstance(run.ground, Ramp) else ""
        )
        title = f"RUN {run.id}{', ' + sloped if sloped else ''}"
        climb = (1 if run.ground.up else -1) if isinstance(run.ground, Stair | Ramp) else 0
        found.append(
            Row(title, tuple(stops), tuple(_run_asks(run, path, number, _met(plan, run))), steps, path, sloped, climb)
        )
    return found


def blank() -> list[Row]:
    """A level run of seven posts and a stair of four, nothing named yet."""
    rows = []
    for number, (count, steps) in enumerate(((7, 0), (4, 14))):
        path = f"[[run]] no. {number + 1}"
        stops = tuple(
            Stop(
                "____",
                _post_asks("POST", None),
                Ask("span to the next post", f"{path}: spans, {nth(index + 1)}") if index + 1 < count else None,
            )
            for index in range(count)
        )
        whole = (
            Ask("turn from the run before", f"{path}: turn"),
            Ask("clear, first post to wall", f"{path}: gap_at_start"),
            Ask("clear, last post to wall", f"{path}: gap_at_finish"),
        )
        title = f"RUN ____ ({'stair' if steps else 'level'})"
        rows.append(Row(title, stops, whole, steps, path, "stair" if steps else "", 1 if steps else 0))
    return rows


def _two(plan: Plan, post: str) -> tuple[str, ...]:
    """The runs at a post whose planned undersides are two, each to be taped; empty where one reading serves."""
    unders = planned_undersides(plan.runs, post, plan.post_by_id[post].prism.base.z)
    return tuple(unders) if two_undersides(unders) else ()


def _post_asks(name: str, kind: PostKind | None, runs: Sequence[str] = ()) -> tuple[Ask, ...]:
    """Underside, widths and leans of a post; ``runs``: those whose undersides are taped one by one."""
    own = f"[as_built.{toml_key(name)}]"
    post = f"[post.{toml_key(kind.name) if kind else 'KIND'}]"
    under = [Ask(f"U, run {run}", f"{own} underside.{toml_key(run)}", True) for run in runs]
    under = under or [Ask("U: up to underside", f"{own} underside", True)]
    sizes = SHAPES[kind.shape if kind else "square"].sizes
    return (
        *under,
        Ask("lean along, mm per m", f"{own} lean, 1st", True),
        Ask("lean across, mm per m", f"{own} lean, 2nd", True),
        *(Ask(size.name, f"{post} {size.key}") for size in sizes),
    )


def _met(plan: Plan, run: Run) -> set[str]:
    """The posts of a run at which another run begins, ends or passes: nothing is open beside those."""
    return {post for other in plan.job.runs if other.id != run.id for post in other.posts}


def _run_asks(run: Run, path: str, number: int, met: set[str]) -> Iterator[Ask]:
    if number:
        yield Ask(f"{run.id}: turn, left or right", f"{path}: turn")
    if run.posts[0] not in met:
        yield Ask(f"{run.id}: clear, {run.posts[0]} to wall", f"{path}: gap_at_start")
    if run.posts[-1] not in met:
        yield Ask(f"{run.id}: clear, {run.posts[-1]} to wall", f"{path}: gap_at_finish")
    if isinstance(run.ground, Ramp):
        yield Ask(f"{run.id}: slope of the ramp", f"{path}: ramp, slope")
    if run.guard.mount == "side":
        yield Ask(f"{run.id}: deck edge to cables", f"{path}: out")
