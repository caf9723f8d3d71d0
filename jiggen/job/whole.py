"""What the tables of a job file must agree on between them, turned into problems."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from typing import Any

from jiggen.job.model import AsBuilt, Run, Wire
from jiggen.job.runs import MOST_POSTS, MOST_RUNS
from jiggen.job.tables import Table
from jiggen.job.wording import joined, nearest, quoted, shown
from jiggen.problems import Problem, counted, nth

MOST_SHARING = 2


def too_large(data: Mapping[str, Any]) -> tuple[str, str] | None:
    """What is found and its remedy where a job has more runs or posts than can be worked with."""
    runs = data.get("run")
    runs = [runs] if isinstance(runs, dict) else runs
    if not isinstance(runs, list):
        return None
    if len(runs) > MOST_RUNS:
        return f"found {len(runs)} runs", f"write at most {MOST_RUNS} in one job"
    lists = (run.get("posts") for run in runs if isinstance(run, dict))
    posts = sum(len(names) for names in lists if isinstance(names, list))
    if posts > MOST_POSTS:
        return f"found {posts} posts", f"write at most {MOST_POSTS} in one job"
    return None


def check_runs(job: Table, runs: tuple[Run, ...]) -> None:
    """Run ids differ, no post stands in three runs, wires look at posts that there are."""
    first: dict[str, int] = {}
    for index, run in enumerate(runs):
        if run.id and first.setdefault(run.id, index) != index:
            where = "id" if "id" in raw_run(job, index) else ""
            found = f"found the id {quoted(run.id)} of the {nth(first[run.id] + 1)} run"
            job.stop(run_path(job, index, where), found, "give each run its own id")
    _check_sharing(job, runs)
    posts = _posts(runs)
    for index, run in enumerate(runs):
        _check_faces(job, run_path(job, index, "wire"), run.wires, posts)


def check_joining(job: Table, runs: tuple[Run, ...]) -> None:
    """A turn is told from the heading of an earlier run, so a run that turns shares a post with one."""
    for index, run in enumerate(runs):
        place = run_path(job, index, "turn")
        told = any(problem.where in (place, run_path(job, index, "posts")) for problem in job.log)
        if run.turn is not None and not _joins(runs, index) and not told:
            found = f"found {shown(raw_run(job, index).get('turn'))} in a run that shares no post with an earlier run"
            remedy = "let it begin or end at a post of an earlier run, or write at and heading instead"
            job.stop(place, found, remedy)


def apart(job: Table, runs: tuple[Run, ...]) -> list[Problem]:
    """A stop for each run after the first of which nothing says where it stands: it would lie where the first begins."""
    lying = [index for index, run in enumerate(runs) if run.at is None and not _joins(runs, index)]
    remedy = "name the post that they share, or write at = [x, y, z] of its first post and its heading"
    return [
        Problem(
            "stop",
            run_path(job, index, ""),
            f"it shares no post with an earlier run and has no at: it would lie where run {runs[lying[0]].id} begins",
            remedy,
        )
        for index in lying[1:]
    ]


def _joins(runs: tuple[Run, ...], index: int) -> bool:
    """Whether a run shares a post with an earlier one."""
    own = set(runs[index].posts)
    return any(not own.isdisjoint(other.posts) for other in runs[:index])


def _check_sharing(job: Table, runs: tuple[Run, ...]) -> None:
    where: dict[str, list[str]] = defaultdict(list)
    for index, run in enumerate(runs):
        for at, post in enumerate(run.posts):
            where[post].append(run_path(job, index, f"posts[{at}]"))
    for post, places in where.items():
        if post and len(places) > MOST_SHARING:
            others = " and ".join(map(counted, places[:MOST_SHARING]))
            for place in places[MOST_SHARING:]:
                job.stop(place, f"found {quoted(post)} in a third run", f"end two runs at a post at most: {others}")


def _check_faces(job: Table, place: str, wires: Iterable[Wire], posts: dict[str, None]) -> None:
    many = isinstance(wires, tuple) and len(wires) > 1
    for index, wire in enumerate(wires):
        post = wire.face.removeprefix("toward ").strip()
        if wire.face.startswith("toward ") and post not in posts:
            where = f"{place}[{index}].face" if many else f"{place}.face"
            job.stop(where, f"found {quoted(wire.face)}, a post that no run has", _face_remedy(post, posts))


def _face_remedy(post: str, posts: dict[str, None]) -> str:
    remedy = nearest(post, posts)
    return remedy.replace('write "', 'write "toward ', 1) if remedy.count('"') == 2 else 'write "toward " and a post'


def check_wires_of_kinds(job: Table, wires: Mapping[str, tuple[Wire, ...]], runs: tuple[Run, ...]) -> None:
    """Wires of each kind of post look at posts that there are."""
    for kind, asked in wires.items():
        _check_faces(job, joined(joined("post", kind), "wire"), asked, _posts(runs))


def check_named_posts(job: Table, path: str, names: Iterable[str], runs: tuple[Run, ...]) -> None:
    """Each of ``names``, keys of the table at ``path``, is a post of some run."""
    posts = _posts(runs)
    for name in names:
        if posts and name not in posts:
            job.stop(joined(path, name), f"found post {quoted(name)}, which no run has", nearest(name, posts))


def check_undersides(job: Table, as_built: Mapping[str, AsBuilt], runs: tuple[Run, ...]) -> None:
    """An underside that is written by run names runs that have the post."""
    for name, found in as_built.items():
        own = {run.id: None for run in runs if name in run.posts}
        for run in found.undersides:
            if own and run not in own:
                place = joined(joined(joined("as_built", name), "underside"), run)
                job.stop(place, f"found run {quoted(run)}, which has no post {quoted(name)}", nearest(run, own))


def check_measured_spans(job: Table, names: Iterable[str], runs: tuple[Run, ...]) -> None:
    """A span measured from a post to the next belongs to one span of one run."""
    followed = Counter(post for run in runs for post in run.posts[:-1])
    posts = _posts(runs)
    for name in names:
        place = joined(joined("as_built", name), "span_to_next")
        if name in posts and not followed[name]:
            job.stop(place, f"found post {quoted(name)}, the last of its run", "write it at the post before")
        elif followed[name] > 1:
            found = f"found post {quoted(name)}, which is followed by a post in two runs"
            job.stop(place, found, "write the measured length in the run itself")


def _posts(runs: tuple[Run, ...]) -> dict[str, None]:
    return dict.fromkeys(post for run in runs for post in run.posts)


def raw_run(job: Table, index: int) -> Mapping[str, Any]:
    """The table of a run as parsed, empty where it is none."""
    runs = job.data.get("run")
    raw = runs if isinstance(runs, dict) else runs[index] if isinstance(runs, list) else {}
    return raw if isinstance(raw, dict) else {}


def run_path(job: Table, index: int, key: str) -> str:
    """The path of a run, or of ``key`` in it: "run[1].posts", or "run.posts" where the job has the one table."""
    path = "run" if isinstance(job.data.get("run"), dict) else f"run[{index}]"
    return f"{path}.{key}" if key else path
