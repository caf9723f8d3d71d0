"""Posts as planned and as built, and posts where runs of two slopes meet, turned into problems."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

from jiggen.job.model import Job
from jiggen.job.wording import joined
from jiggen.plan.lines import Layout
from jiggen.plan.model import Group, Post, RunLine
from jiggen.plan.words import fine, length, toml_key
from jiggen.problems import Problem

WORTH_TELLING = 3.0  # mm off the plan's drop
ONE_READING = 1.0  # mm; a tape reads no finer
BUILT = "as_built"  # the table of the job file


def built_problems(
    job: Job, posts: Sequence[Post], planned: Sequence[Post], shared: Sequence[Group], before: Sequence[Group]
) -> Iterator[Problem]:
    """What measuring on site moved: drops off by more than 3 mm, and posts that leave the sheet they shared."""
    plan = {mark.id: mark for post in planned for face in post.faces for mark in face.marks}
    moved: set[str] = set()
    for post in posts:
        marks = [mark for face in post.faces for mark in face.marks if mark.id in plan and mark.purpose != "bracket"]
        off = max((mark.drop - plan[mark.id].drop for mark in marks), key=abs, default=0.0)
        aside = max((mark.u - plan[mark.id].u for mark in marks), key=abs, default=0.0)
        if max(abs(off), abs(aside)) > job.alike:
            moved.add(post.id)
        if abs(aside) > max(abs(off), WORTH_TELLING):
            yield Problem(
                "note",
                f"post {post.id}",
                f"as built a hole lies {length(job, abs(aside))} aside of its place as planned",
                "drill it by its own sheet",
            )
        elif abs(off) > WORTH_TELLING:
            yield Problem(
                "note",
                f"post {post.id}",
                f"as built its holes lie {length(job, abs(off))} "
                f"{'further below' if off > 0 else 'nearer to'} the underside",
                "drill it by its own sheet",
            )
    partners, old = _partners(shared), _partners(before)
    lost: dict[str, list[str]] = {}
    for face, others in old.items():
        for name in sorted(others - partners.get(face, set())):
            own, other = _who_leaves(moved, face, name)
            if own != other and other not in lost.setdefault(own, []):
                lost[own].append(other)
    for own, left in lost.items():
        yield Problem(
            "note",
            f"post {own}",
            f"as built it leaves the sheet that it shared with post {', '.join(left)}: "
            f"their holes differ by more than {fine(job, job.alike, 1)}",
            "drill each by the sheet that names it",
        )


def _who_leaves(moved: Collection[str], face: str, other: str) -> tuple[str, str]:
    """Of two posts that part, the one to tell and the one it leaves: that whose holes moved, else the later by name."""
    pair = sorted((face.rpartition("/")[0], other.rpartition("/")[0]), key=lambda post: (post in moved, post))
    return pair[1], pair[0]


def _partners(groups: Sequence[Group]) -> dict[str, set[str]]:
    return {face: set(group.faces) - {face} for group in groups for face in group.faces}


def transition_problems(job: Job, layout: Layout) -> Iterator[Problem]:
    """Both undersides and the step at every post where runs of two slopes meet."""
    lines = {line.id: line for line in layout.runs}
    for stand in layout.stands.values():
        if len(stand.runs) != 2 or stand.between:
            continue
        first, second = (lines[name] for name in stand.runs)
        if abs(first.slope - second.slope) < 1e-9 and first.ground == second.ground:
            continue
        unders = [_under(line, stand.id, stand.base.z) for line in (first, second)]
        step = abs(unders[1] - unders[0])
        if "over" in (first.guard.rail.sits, second.guard.rail.sits) and step > WORTH_TELLING:
            yield Problem(
                "stop",
                f"post {stand.id}",
                f"its rails lie over the posts and meet {length(job, step)} apart: one post has one top",
                'let the rails sit "between" the posts here, or give the runs heights whose undersides agree',
            )
        yield Problem(
            "note",
            f"post {stand.id}",
            f"undersides over the walking surface: run {first.id} {length(job, unders[0])}, run {second.id} "
            f"{length(job, unders[1])}, a step of {length(job, abs(unders[1] - unders[0]))} at its axis",
            "hang each face's sheet from its own rail",
        )


def planned_undersides(lines: Iterable[RunLine], post: str, floor: float) -> dict[str, float]:
    """By run the planned underside of its rail at the axis of a post, mm over ``floor``, the world's z of its foot."""
    return {
        line.id: line.underside(line.stations[line.posts.index(post)]) - floor for line in lines if post in line.posts
    }


def two_undersides(unders: Mapping[str, float]) -> bool:
    """Whether the undersides at a post lie further apart than a tape tells: one reading cannot serve both."""
    return bool(unders) and max(unders.values()) - min(unders.values()) > ONE_READING


def underside_problems(job: Job, layout: Layout) -> Iterator[Problem]:
    """A stop where one length is taped for a post at which the plan has two undersides."""
    for post, taped in job.as_built.items():
        if post not in layout.stands:  # a part of a job is planned by itself
            continue
        unders = planned_undersides(layout.runs, post, layout.stands[post].base.z)
        if taped.underside is None or not two_undersides(unders):
            continue
        told = ", ".join(f"run {run} {length(job, under)}" for run, under in unders.items())
        wanted = ", ".join(f'{toml_key(run)} = "..."' for run in unders)
        yield Problem(
            "stop",
            joined(joined(BUILT, post), "underside"),
            f"found one length, {length(job, taped.underside)}, where the plan has two undersides: {told}",
            f"tape each rail's and write underside = {{ {wanted} }}",
        )


def _under(line: RunLine, post: str, z: float) -> float:
    index = line.posts.index(post)
    lift = line.lifts[index] if line.lifts else 0.0
    return line.underside(line.stations[index]) + lift - z
