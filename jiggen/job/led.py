"""Runs turned into cables that are led on from one run into the next, round the post that both end at."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace

from jiggen.job.model import Run
from jiggen.job.tables import Table
from jiggen.job.whole import raw_run, run_path
from jiggen.job.wording import quoted, shown
from jiggen.problems import counted

TAKEN = (
    "spacing",
    "count",
    "first",
    "stagger",
)  # keys of the cables' places, which a led on run takes from the one before
ENDS = ("start", "finish")


@dataclass(frozen=True, slots=True)
class Chain:
    """Runs that have their cables in common.

    ``legs``: of each run in its order along the cables its place in the job, and whether the cables go from its first
    post to its last. ``posts``: those that the cables turn at, one fewer.
    """

    legs: tuple[tuple[int, bool], ...]
    posts: tuple[str, ...]

    @property
    def head(self) -> int:
        """The place of the run that comes first in the job: it says where the cables lie, and they bear its name."""
        return min(index for index, _ in self.legs)


def joint(runs: Sequence[Run], index: int) -> tuple[int, str] | None:
    """The earlier run that a run ends at one post with, and the post; the one at its first post before the one at its last."""
    own = runs[index].posts
    for post in (own[0], own[-1]) if own else ():
        for earlier, other in enumerate(runs[:index]):
            if post and other.posts and post in (other.posts[0], other.posts[-1]):
                return earlier, post
    return None


def chains(runs: Sequence[Run]) -> tuple[Chain, ...]:
    """Every set of two runs or more whose cables are led on from one into the next, in the order of the job."""
    at: dict[tuple[int, str], int] = {}
    for index, run in enumerate(runs):
        found = joint(runs, index) if run.led_on else None
        if found:
            earlier, post = found
            at[index, post], at[earlier, post] = earlier, index
    left = {index for index, _ in at}
    found_chains = []
    while left:
        ends = [one for one in _reached(at, min(left)) if sum(key[0] == one for key in at) == 1]
        chain = Chain(*_followed(runs, at, min(ends)))
        left -= {index for index, _ in chain.legs}
        found_chains.append(chain)
    return tuple(found_chains)


def _reached(at: dict[tuple[int, str], int], start: int) -> set[int]:
    """Every run whose cables are those of ``start``."""
    seen, new = {start}, [start]
    while new:
        index = new.pop()
        more = {other for (one, _), other in at.items() if one == index} - seen
        seen |= more
        new += more
    return seen


def _followed(
    runs: Sequence[Run], at: dict[tuple[int, str], int], first: int
) -> tuple[tuple[tuple[int, bool], ...], tuple[str, ...]]:
    """The legs from ``first``, an end of its chain, on, and the posts between them."""
    legs: list[tuple[int, bool]] = []
    posts: list[str] = []
    index, came = first, ""
    while True:
        own = runs[index].posts
        forward = own[0] == came if came else (index, own[-1]) in at
        legs.append((index, forward))
        leaves = own[-1] if forward else own[0]
        if (index, leaves) not in at:
            return tuple(legs), tuple(posts)
        posts.append(leaves)
        index, came = at[index, leaves], leaves


def fitted(runs: Sequence[Run], chain: Chain) -> tuple[str, str]:
    """The end fittings at both ends of a chain's cables, by name."""
    (first, forward), (last, on) = chain.legs[0], chain.legs[-1]
    one, other = runs[first], runs[last]
    return (one.start if forward else one.finish), (other.finish if on else other.start)


def fitted_of(runs: Sequence[Run], run: Run) -> tuple[str, str]:
    """The end fittings at both ends of the cables of a run, by name."""
    for chain in chains(runs) if any(one.led_on for one in runs) else ():
        if any(runs[index].id == run.id for index, _ in chain.legs):
            return fitted(runs, chain)
    return run.start, run.finish


def together(runs: Sequence[Run], ids: Collection[str]) -> set[str]:
    """``ids`` with every run whose cables are those of one of them."""
    found = set(ids)
    for chain in chains(runs) if any(run.led_on for run in runs) else ():
        own = {runs[index].id for index, _ in chain.legs}
        found |= own if own & found else set()
    return found


def led(job: Table, runs: tuple[Run, ...]) -> tuple[Run, ...]:
    """The runs, without an end fitting ("") where cables are led on. What cannot be goes to the table's log."""
    found = list(runs)
    for index, run in enumerate(runs):
        if not run.led_on:
            continue
        met = joint(runs, index)
        if met is None:
            _none(job, runs, index)
            continue
        earlier, post = met
        _refuse(job, index, earlier, post, runs)
        for place in (index, earlier):
            end = ENDS[found[place].posts[0] != post]
            found[place] = replace(found[place], start="") if end == "start" else replace(found[place], finish="")
    return tuple(found)


def _none(job: Table, runs: Sequence[Run], index: int) -> None:
    """A run that ends at no end post of an earlier one."""
    place, own = run_path(job, index, "led_on"), set(runs[index].posts)
    if index == 0:
        job.stop(place, "found it in the first run", "write it in the later one of the two runs, or leave it out")
        return
    shared = next(((other, post) for other in runs[:index] for post in other.posts if post in own), None)
    if shared is None:
        found, remedy = "found it in a run that shares no post with an earlier run", "name the post that both end at"
    else:
        found = f"found it in a run that shares post {quoted(shared[1])} with run {shared[0].id}, where one of them does not end"
        remedy = "let both runs end at that post"
    job.stop(place, found, f"{remedy}, or leave led_on out: the cables then end there")


def _refuse(job: Table, index: int, earlier: int, post: str, runs: Sequence[Run]) -> None:
    """Keys beside ``led_on`` that say otherwise: places of the cables, fittings at the post."""
    own, before = raw_run(job, index), runs[earlier].id
    for key in TAKEN:
        if key in own:
            where = "leave it out" if key == "stagger" else f"write it in run {before}, or leave it out"
            found = f"found {shown(own[key])} in a run whose cables are those of run {before}"
            job.stop(run_path(job, index, key), found, where)
    for place in (index, earlier):
        end = ENDS[runs[place].posts[0] != post]
        if end in raw_run(job, place):
            found = f"found {shown(raw_run(job, place)[end])} at post {quoted(post)}, which the cables are led round"
            remedy = f"leave {end} out, or leave led_on out of {counted(run_path(job, index, ''))}: the cables then end there"
            job.stop(run_path(job, place, end), found, remedy)


def led_posts(runs: Sequence[Run]) -> Iterator[tuple[str, Run, Run]]:
    """Every post that cables are led round, with the earlier and the later run."""
    for index, run in enumerate(runs):
        met = joint(runs, index) if run.led_on else None
        if met:
            yield met[1], runs[met[0]], run
