"""Stops at a post turned into what cures them: a turn of that post, a stagger, a piece, each planned again."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import degrees, fsum, pi, radians, remainder

from jiggen.geometry import angle_between
from jiggen.plan.checks import SQUARE_FACES
from jiggen.plan.make import plan_again
from jiggen.plan.model import Plan, Post
from jiggen.plan.rigid import ASKEW, UNHELD
from jiggen.plan.words import length
from jiggen.problems import Cure, Problem
from jiggen.review.again import Near, clears, near, posts_of, with_run
from jiggen.review.joint import Ways, best, targets, turnable
from jiggen.review.overlaps import Seen, parted
from jiggen.review.pieces import in_place, mark_named, marks_named, other_fittings
from jiggen.review.signs import Sign, sign
from jiggen.review.ways import Trial, cure_of, turned
from jiggen.review.written import run_path, said
from jiggen.told import MOST, listed

SQUARE = 1e-6  # radians; a cable that leaves its face this near to square leaves it square
ASIDE = "use two posts at the corner"
SWIVELS = ", or use a fitting that swivels any way"
SHIFT = "use another fitting: "
OVER = re.compile(r"overlap by .*?([\d.]+) mm")
TWIN = re.compile(r'^use "[^"]*", or ')


def cured(plan: Plan) -> tuple[Problem, ...]:
    """The plan's problems; where a stop is told of a post that a turn, a stagger or screws may help, with what does."""
    parts: dict[str, At] = {}
    seen: Seen = {}
    found = []
    for problem in plan.problems:
        posts = posts_of(plan, problem) if problem.level == "stop" else ()
        if not posts:
            found.append(problem)
        elif plan.tries.left():
            if posts[0] not in parts:
                parts[posts[0]] = _at(plan, posts[0], seen)
            cure = _with_cures(plan, parts[posts[0]], problem)
            found.append(_later(problem, parts) if plan.tries.short and not cure.cures else cure)
        else:
            found.append(_later(problem, parts))
    return tuple(found)


def _later(problem: Problem, mended: Iterable[str]) -> Problem:
    """A stop with the plan's own words, for which nothing more may be planned again."""
    posts = list(mended)
    first = f"post{'s' * (len(posts) > 1)} {listed(posts, MOST)} {'are' if len(posts) > 1 else 'is'}"
    return replace(problem, remedy=f"{_own_words(problem)} (planned again once {first} mended)")


@dataclass(frozen=True)
class At:
    """A post with what is told of it: its ``part`` of the job, its ``ways``, the stops ``wanted`` gone together, and
    the one remedy that has them all gone (``good``: as a list, empty for none). ``seen``: shared by all posts."""

    part: Near
    ways: Ways
    wanted: frozenset[Sign]
    good: list[Trial]
    seen: Seen


def _at(plan: Plan, post: str, seen: Seen) -> At:
    part = near(plan, post)
    ways = Ways(plan, part, _every_turn(plan, part, plan.post_by_id[post]))
    wanted = targets(plan, part)
    return At(part, ways, wanted, best(ways, wanted), seen)


def _every_turn(plan: Plan, part: Near, post: Post) -> Iterator[Trial]:
    """Every turn that is tried at a post, first alone, then with the later run staggered where holes alone meet."""
    alone = list(_turns(plan, part, post))
    yield from alone
    for trial in alone:
        left = next((after for job, after in part.known if job is trial.job), part.stops)
        fresh = left - part.stops
        if any(one[-1] == "clash" for one in left) and all(one[-1] == "clash" for one in fresh):
            yield from _with_stagger(plan, part, trial)


def _with_cures(plan: Plan, at: At, problem: Problem) -> Problem:
    """A stop at one post with the remedies that were seen to help, the plan's own words after them."""
    part, target = at.part, sign(plan, problem)
    if target not in part.stops:
        return problem
    over = OVER.search(problem.found)
    if over and " of cable " in problem.found:
        return parted(plan, problem, float(over[1]), at.seen)
    clash, wanted = target[-1] == "clash", frozenset([target])
    good = at.good if target in at.wanted else []
    if not good and turnable(plan, problem):
        good = best(at.ways, wanted)
    staggers = [trial for trial in _stagger(plan, part, problem) if clears(part, wanted, trial.job)]
    pieces = list(in_place(plan, part, problem))
    many = 2 if ASKEW in problem.found or UNHELD in problem.found else 1
    place = [trial for trial in pieces if clears(part, wanted, trial.job)][:many]
    if pieces and not place and not clash:
        good = [trial for trial in at.ways.wide(wanted) if clears(part, wanted, trial.job)][:1]
    if not (good or staggers or place) and marks_named(plan, problem):
        place = [trial for trial in other_fittings(plan, part, problem) if clears(part, wanted, trial.job)][:1]
    ordered = sorted((*good, *staggers, *place), key=_wider)  # another post is the last that anybody wants
    cures = [cure_of(plan, part, trial) for trial in ordered]
    last = _last_words(plan, problem, bool(pieces), cures)
    told = ", or ".join([*(cure.words for cure in cures), *last])
    every = not part.tries.short  # what was not tried is not said to be no cure
    if every and turnable(plan, problem) and at.ways.turned() and not any("turn" in cure.words for cure in cures):
        told += " (no turn of the post cures it)"
    if every and clash and _two_runs(plan, problem) and not any("stagger" in cure.words for cure in cures):
        told += " (no stagger cures it)"
    pair = f"; for this pair alone: {problem.remedy.removeprefix(SHIFT)}" if clash else ""
    return replace(problem, remedy=told + pair, cures=(*problem.cures, *(cure for cure in cures if cure.keys)))


def _wider(trial: Trial) -> bool:
    return bool(set(trial.own) - {"rotate"})


def _last_words(plan: Plan, problem: Problem, tried: bool, cures: Sequence[Cure]) -> list[str]:
    """What is told after the cures: what no key of the job does. ``tried``: other pieces in the place of this one."""
    if sign(plan, problem)[-1] == "clash":
        return [ASIDE, "another fitting"] if _two_runs(plan, problem) else ["use another fitting"]
    own = _own_words(problem)
    if cures and (tried or own == SQUARE_FACES):
        return []
    held = " is held by " in problem.found
    return ["use another fitting" if tried and not held else "use another post" if own == SQUARE_FACES else own]


def _own_words(problem: Problem) -> str:
    """The plan's words without a swap that it has not planned."""
    return TWIN.sub("", problem.remedy.replace(SWIVELS, ""))


def _two_runs(plan: Plan, problem: Problem) -> bool:
    """Whether two holes belong to two runs."""
    return len({mark_named(plan, name).run for name in marks_named(plan, problem)}) > 1


def _turns(plan: Plan, part: Near, post: Post) -> Iterator[Trial]:
    """The post turned to the middle of its faces' skews, square to one run or the other, and by half the corner; of turns
    that stand it alike the smallest."""
    faces = [face for face in post.faces if face.name.startswith("toward ")]
    if post.prism.round or post.role == "spacer" or not any(abs(face.skew) > SQUARE for face in faces):
        return
    first = next(line for line in plan.runs if line.id == faces[0].run).heading
    now = angle_between(first, post.heading)
    skews = [face.skew for face in faces]
    middle = fsum(skews[:: max(len(skews) - 1, 1)]) / min(len(skews), 2)
    if post.kind.shape == "square" and abs(skews[0] - skews[-1]) > pi / 4.0:
        middle -= pi / 4.0  # faces of a quarter turn's half on leave both less askew
    ways = [remainder(now + way, post.kind.section.outline.repeats) for way in (middle, *skews)]
    tried: set[str] = set()
    for way in ways:
        for places in (1, 4):
            text = f"{degrees(way):.{places}f}".rstrip("0").rstrip(".")
            text = "0" if text in ("-0", "") else text
            if text not in tried:
                tried.add(text)
                yield turned(plan, part, text, radians(float(text)))


def _stagger(plan: Plan, part: Near, problem: Problem) -> Iterator[Trial]:
    """The later of two runs staggered, where a hole of each meets."""
    marks = [mark_named(plan, name) for name in marks_named(plan, problem)]
    if len(marks) == 2 and marks[0].run != marks[1].run:
        yield from _staggered(plan, part, Trial(part.job), marks[1].run)


def _with_stagger(plan: Plan, part: Near, trial: Trial) -> Iterator[Trial]:
    """A turn, and the later run at the post staggered so that its holes clear the other's."""
    later = [run.id for run in part.job.runs if part.post in run.posts][1:]
    for run in later:
        yield from _staggered(plan, part, trial, run)


def _staggered(plan: Plan, part: Near, trial: Trial, run: str) -> Iterator[Trial]:
    """The later run's cables moved down by the least that clears all, where the file does not have that already."""
    index = next(i for i, one in enumerate(plan.job.runs) if one.id == run)
    own = next(one for one in part.job.runs if one.id == run)
    if own.guard.stagger == "auto" or own.led_on or index == 0 or not part.tries.left():
        return
    job = with_run(trial.job, run, {"stagger": "auto"})
    by = next(one for one in plan_again(job, part.tries).job.runs if one.id == run).guard.stagger
    if isinstance(by, float) and by > 0.0:
        words = f'stagger = "auto" in run {run}, which moves its cables {length(plan.job, by)} down'
        yield trial.more(job, words, {run_path(plan, index, "stagger"): said("auto")})
