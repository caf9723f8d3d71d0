"""Stops at a post turned into what cures them: a turn of that post, a stagger, shorter screws, each planned again."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from math import degrees, fsum, pi, radians

from jiggen.geometry import angle_between
from jiggen.handbook.screw_lengths import Sold, sold_lengths
from jiggen.handbook.screws import parse_screw
from jiggen.job.model import Job
from jiggen.job.wording import joined
from jiggen.plan.clashes import capsule, shortened, web_of
from jiggen.plan.make import make_plan
from jiggen.plan.model import Mark, Plan, Post
from jiggen.plan.words import length
from jiggen.problems import Cure, Problem
from jiggen.review.again import Near, cures, near, posts_of, with_kind, with_run
from jiggen.review.joint import Trial, best, targets
from jiggen.review.overlaps import parted
from jiggen.review.signs import Sign, faces_of, sign
from jiggen.review.written import run_path, said, screw_keys

SQUARE = 1e-6  # radians; a cable that leaves its face this near to square leaves it square
ASIDE = "two posts at the corner"
OVER = re.compile(r"overlap by .*?([\d.]+) mm")
MOST_SHORTER = 3  # lengths of screws that are tried
MOST = 12  # posts whose remedies are planned again; the others keep the plan's own words


def cured(plan: Plan) -> tuple[Problem, ...]:
    """The plan's problems; where a stop is told of a post that a turn, a stagger or screws may help, with what does."""
    parts: dict[str, At] = {}
    found = []
    for problem in plan.problems:
        posts = posts_of(plan, problem) if problem.level == "stop" else ()
        if posts and (posts[0] in parts or len(parts) < MOST):
            if posts[0] not in parts:
                parts[posts[0]] = _at(plan, posts[0])
            found.append(_with_cures(plan, parts[posts[0]], problem))
        else:
            found.append(problem)
    return tuple(found)


@dataclass(frozen=True)
class At:
    """A post with what is told of it: its ``part`` of the job, its ``turns``, the stops ``wanted`` gone together, and
    the one remedy that has them all gone (``good``: as a list, empty for none)."""

    part: Near
    turns: list[Trial]
    wanted: frozenset[Sign]
    good: list[Trial]


def _at(plan: Plan, post: str) -> At:
    part = near(plan, post)
    turns = _every_turn(plan, part, plan.post_by_id[post])
    wanted = targets(plan, part)
    return At(part, turns, wanted, best(plan, part, plan.post_by_id[post], turns, wanted))


def _every_turn(plan: Plan, part: Near, post: Post) -> list[Trial]:
    """Every turn that is tried at a post, first alone, then with the later run staggered."""
    alone = list(_turns(plan, part, post))
    return [*alone, *(both for trial in alone for both in _with_stagger(plan, part, trial))]


def _with_cures(plan: Plan, at: At, problem: Problem) -> Problem:
    """A stop at one post with the remedies that were seen to help, the plan's own words after them."""
    part, target = at.part, sign(plan, problem)
    if target not in part.stops:
        return problem
    over = OVER.search(problem.found)
    if over and " of cable " in problem.found:
        return parted(plan, problem, float(over[1]))
    clash = target[-1] == "clash"
    others = list(_others(plan, part, problem)) if clash else []
    joint = at.good if target in at.wanted else []
    if not at.turns and not others and not joint and not clash:
        return problem
    good = [trial.cure for trial in joint]
    good += [trial.cure for trial in others if cures(part, target, trial.job)]
    pair = f"; for this pair alone: {problem.remedy}" if clash else ""
    last = [ASIDE, "another fitting", "a wider post"] if clash else [_own_words(problem)]
    told = ", or ".join([*(cure.words for cure in good), *last])
    if at.turns and not any("turn" in cure.words for cure in good):
        told += f" (no turn of post {part.post} cures it)"
    if clash and _two_runs(plan, problem) and not any("stagger" in cure.words for cure in good):
        told += " (no stagger cures it)"
    return replace(problem, remedy=told + pair, cures=(*problem.cures, *(cure for cure in good if cure.keys)))


def _own_words(problem: Problem) -> str:
    """The plan's words without what would have been told where it does."""
    words = problem.remedy.replace(", or use a fitting that swivels any way", "")
    return words.replace(", a wider post or a narrower pattern", " or a narrower pattern")


def _two_runs(plan: Plan, problem: Problem) -> bool:
    """Whether two holes belong to two runs."""
    return len({_mark(plan, name).run for name in _names(plan, problem)}) > 1


def _turns(plan: Plan, part: Near, post: Post) -> Iterator[Trial]:
    """The post turned to the middle of its faces' skews, square to one run or the other, and by half the corner."""
    faces = [face for face in post.faces if face.name.startswith("toward ")]
    if post.prism.round or post.role == "spacer" or not any(abs(face.skew) > SQUARE for face in faces):
        return
    first = next(line for line in plan.runs if line.id == faces[0].run).heading
    now = angle_between(first, post.heading)
    skews = [face.skew for face in faces]
    middle = fsum(skews[:: max(len(skews) - 1, 1)]) / min(len(skews), 2)
    if post.kind.shape == "square" and abs(skews[0] - skews[-1]) > pi / 4.0:
        middle -= pi / 4.0  # faces of a quarter turn's half on leave both less askew
    ways = [middle, *skews]
    tried: set[str] = set()
    for way in ways:
        for places in (1, 4):
            text = f"{degrees(now + way):.{places}f}".rstrip("0").rstrip(".").replace("-0", "-0")
            text = "0" if text in ("-0", "") else text
            if text not in tried:
                tried.add(text)
                yield _turn(plan, part, post, text)


def _turn(plan: Plan, part: Near, post: Post, text: str) -> Trial:
    """The post turned by ``text`` degrees from its first run: its own kind where it has one, else a new one for it."""
    kind = post.kind.name
    alone = sum(one.kind.name == kind for one in plan.posts) == 1
    rotate = f"{text} deg"
    if alone:
        words = f'turn the post: rotate = "{rotate}" in [post.{kind}]'
        cure = Cure(words, ((joined(joined("post", kind), "rotate"), said(rotate)),))
        return Trial(cure, with_kind(part, kind, kind, radians(float(text))))
    name = _free(plan, f"{kind} at {post.id}")
    words = f'turn post {post.id} alone: a kind "{name}" like {kind} with rotate = "{rotate}", in [posts] only'
    return Trial(
        Cure(words, _own_kind(plan, post.id, kind, name, rotate)), with_kind(part, kind, name, radians(float(text)))
    )


def _free(plan: Plan, name: str) -> str:
    """``name``, with a number where a kind of post has it already."""
    taken = plan.job.kinds
    return next(one for one in (name, *(f"{name} {n}" for n in range(2, 999))) if one not in taken)


def _own_kind(plan: Plan, post: str, kind: str, name: str, rotate: str) -> tuple[tuple[str, str], ...]:
    """Keys that give one post a kind of its own, turned; every other post keeps its kind."""
    data = plan.job.data
    table = {**data["post"][kind], "rotate": rotate}
    keys = [(joined("post", name), said(table)), (joined("posts.only", post), said(name))]
    stands: Mapping[str, object] = data.get("posts", {})
    if "line" not in stands:
        keys.append(("posts.line", said(plan.job.stands.line)))
    return tuple(keys)


def _others(plan: Plan, part: Near, problem: Problem) -> Iterator[Trial]:
    """What else parts two holes: a stagger of the later run, or its first cable lower, or shorter screws."""
    marks = [_mark(plan, name) for name in _names(plan, problem)]
    if len(marks) != 2:
        return
    first, second = marks
    if first.run != second.run:
        yield from _staggered(plan, part, second.run)
    yield from _shorter(plan, part, first, second)


def _names(plan: Plan, problem: Problem) -> list[str]:
    faces = faces_of(plan, problem)
    where = problem.where
    for mark in plan.face_by_id[faces[0]].marks if faces else ():
        if where.startswith(f"{mark.id} and "):
            return [mark.id, where.removeprefix(f"{mark.id} and ")]
    return []


def _mark(plan: Plan, name: str) -> Mark:
    face = plan.face_by_id[name.rpartition("/")[0]]
    return next(mark for mark in face.marks if mark.id == name)


def _with_stagger(plan: Plan, part: Near, trial: Trial) -> Iterator[Trial]:
    """A turn, and the later run at the post staggered so that its holes clear the other's."""
    later = [run.id for run in part.job.runs if part.post in run.posts][1:]
    for run in later:
        for more in _staggered(plan, replace(part, job=trial.job), run):
            yield Trial(Cure(f"{trial.cure.words}, and {more.cure.words}", trial.cure.keys + more.cure.keys), more.job)


def _staggered(plan: Plan, part: Near, run: str) -> Iterator[Trial]:
    """The later run's cables moved down by the least that clears all, where the file does not have that already."""
    index = next(i for i, one in enumerate(plan.job.runs) if one.id == run)
    own = next(one for one in part.job.runs if one.id == run)
    if own.guard.stagger == "auto" or index == 0:
        return
    job = with_run(part.job, run, {"stagger": "auto"})
    by = next(one for one in make_plan(job).job.runs if one.id == run).guard.stagger
    if isinstance(by, float) and by > 0.0:
        words = f'stagger = "auto" in run {run}, which moves its cables {length(plan.job, by)} down'
        yield Trial(Cure(words, ((run_path(plan, index, "stagger"), said("auto")),)), job)


def _shorter(plan: Plan, part: Near, first: Mark, second: Mark) -> Iterator[Trial]:
    """Shorter screws, as they are sold, in the end fittings that both marks belong to, up to three lengths that clear."""
    names = [mark.what.rpartition(", ")[0] for mark in (first, second)]
    job = part.job
    if {first.purpose, second.purpose} != {"screw"} or not all(name in job.fittings for name in names):
        return
    screws = [job.fittings[name].screw for name in names]
    if any(screw is None or screw.bolt for screw in screws):
        return
    held = [screw for screw in screws if screw]
    bodies = [capsule(plan.face_by_id[mark.id.rpartition("/")[0]], mark) for mark in (first, second)]
    under = [[one for one in sold_lengths(s, job.units) if one.mm < s.length - 0.1][::-1] for s in held]
    found = 0
    for lengths in zip(*under, strict=False):
        cut = [screw.length - one.mm for screw, one in zip(held, lengths, strict=True)]
        if found == MOST_SHORTER or max(cut) > 0.5 * min(first.reach, second.reach):
            return
        if web_of(*(shortened(body, by) for body, by in zip(bodies, cut, strict=True))) >= job.min_web:
            found += 1
            yield _with_screws(plan, job, dict(zip(names, lengths, strict=True)))


def _with_screws(plan: Plan, job: Job, lengths: Mapping[str, Sold]) -> Trial:
    """The job with screws of other lengths in some end fittings."""
    fittings = dict(job.fittings)
    keys: list[tuple[str, str]] = []
    for name, sold in lengths.items():
        screw = job.fittings[name].screw
        assert screw is not None
        text = f"{f'lag {screw.size}' if screw.kind == 'lag' else screw.size} x {sold.text}"
        fittings[name] = replace(fittings[name], screw=parse_screw(text))
        keys.extend(screw_keys(plan, name, text))
    words = " and ".join(f"screws {sold.told} long in {name}" for name, sold in lengths.items())
    return Trial(Cure(f"use {words}", tuple(keys)), replace(job, fittings=fittings))
