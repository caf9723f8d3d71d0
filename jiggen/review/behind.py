"""A run that has less pull, as its cables come round a post, turned into what gives it the full one: pulled there too, or
ended at the post."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from jiggen.job.led import joint, together
from jiggen.job.model import Job, Run, Stair
from jiggen.job.runs import FINISH, START
from jiggen.job.usual import FOR_METAL
from jiggen.plan.loads import Strung
from jiggen.plan.model import Plan, RunLine
from jiggen.problems import Cure
from jiggen.review.openings import Opening, open_at_rest, opened, triangle
from jiggen.review.trial import Change, anew, builds, shut, shut_at_rest
from jiggen.review.words import EPSILON, both, stepped_down
from jiggen.review.written import cure, run_path, said
from jiggen.told import listed
from jiggen.units import mm_text


def behind_words(line: RunLine, held: Strung) -> str:
    """Why a run has less than the full pull: "; behind post 3 73 % of the pull is left"; "" where it has it."""
    if line.led is None or not line.led.behind:
        return ""
    many = "s" * (len(line.led.behind) > 1)
    return f"; behind post{many} {listed(line.led.behind)} {mm_text(100.0 * held.share, 0)} % of the pull is left"


def nearer_the_pull(plan: Plan, line: RunLine) -> Iterator[Cure]:
    """What gives a run behind a bend the full pull and keeps its openings shut: thread at its own end, cables that end at
    the post."""
    if line.led is None or not line.led.behind:
        return
    post = next(name for name in line.led.behind if name in (line.posts[0], line.posts[-1]))
    for found in (_turned(plan, line), _ended(plan, line, post, opened)):
        if found:
            yield found


def led_at_rest(plan: Plan, line: RunLine, over: Sequence[Opening]) -> list[Cure]:
    """What closes openings ``over`` of a run whose cables lie where an earlier run says: its rail brought down to them,
    cables that end at the post."""
    if line.head == line.id:
        return []
    index = next(index for index, run in enumerate(plan.job.runs) if run.id == line.id)
    found = [_under_its_rail(plan, line, over), _ended(plan, line, _met(plan.job.runs, index), open_at_rest)]
    return [one for one in found if one]


def led_step(plan: Plan, line: RunLine) -> Cure | None:
    """What closes the triangle at the steps of such a run: cables that end at the post."""
    if line.head == line.id:
        return None
    index = next(index for index, run in enumerate(plan.job.runs) if run.id == line.id)

    def wrong(new: Plan, run: RunLine) -> bool:
        step = triangle(new, run)
        return step is not None and (step.open_at_rest or step.opened)

    return _ended(plan, line, _met(plan.job.runs, index), wrong)


def _under_its_rail(plan: Plan, line: RunLine, over: Sequence[Opening]) -> Cure | None:
    """A height of the guard, no lower than the rules ask for, at which the first cable is near enough to the rail."""
    top = next((opening for opening in over if opening.number == 1), None)
    if top is None:
        return None
    down = (top.upright - top.limit + EPSILON) / line.cosine
    high = stepped_down(plan, line.height - down)
    rule = plan.job.rules.height_for(plan.job.fall, isinstance(line.ground, Stair))
    change = Change({"height": high})
    if high <= 0.0 or (rule and high < rule.least - EPSILON) or not shut_at_rest(plan, line, change):
        return None
    if not builds(plan, line, change):
        return None
    words = f"make the guard of run {line.id} {both(plan, high)} high, so that its rail comes down to its cables"
    return cure(plan, line, words, change)


def _turned(plan: Plan, line: RunLine) -> Cure | None:
    """The fitting of the end that turns at this run's own end too, so that the cables are pulled from both."""
    fittings = plan.job.fittings
    turning = next((name for name in line.fitted if fittings[name].travel > 0.0), None)
    if turning is None or len(line.screwed) != 1:
        return None
    ((post, _),) = line.screwed
    key = "start" if post == line.posts[0] else "finish"
    change = Change(run={key: turning}, own=((key, said(turning)),))
    if not shut(plan, line, change) or not builds(plan, line, change):
        return None
    return cure(plan, line, f'pull from both ends, with "{turning}" at post {post} too', change)


def _ended(plan: Plan, line: RunLine, post: str, wrong: Callable[[Plan, RunLine], object]) -> Cure | None:
    """The cables ended at the post that they come round, the later run staggered there where it must be; ``wrong``: finds
    what must be gone then."""
    runs = plan.job.runs
    later = next(index for index, run in enumerate(runs) if run.led_on and _met(runs, index) == post)
    for auto in (False, True):
        job = _without(plan, later, post, auto, together(runs, {line.id}))
        made = anew(plan, job)
        own = next((one for one in made.runs if one.id == line.id), None) if made else None
        if made is None or own is None or not own.drops or wrong(made, own):
            continue
        keys = [(run_path(plan, later, "led_on"), "")]
        keys += [(run_path(plan, later, "stagger"), said("auto"))] if auto else []
        also = f', with stagger = "auto" in run {runs[later].id}' if auto else ""
        return Cure(f"end the cables at post {post} (leave led_on out of run {runs[later].id}{also})", tuple(keys))
    return None


def _met(runs: Sequence[Run], index: int) -> str:
    found = joint(runs, index)
    return found[1] if found else ""


def _without(plan: Plan, later: int, post: str, auto: bool, ids: set[str]) -> Job:
    """The runs ``ids`` with the cables ended at ``post`` by the usual fittings."""
    metal = plan.post_by_id[post].kind.material.kind == "metal"
    runs = []
    for index, run in enumerate(plan.job.runs):
        if run.id not in ids:
            continue
        if index == later:
            guard = replace(run.guard, stagger="auto" if auto else run.guard.stagger)
            run = replace(run, led_on=False, guard=guard)
        if post == run.posts[0] and not run.start:
            run = replace(run, start=START + FOR_METAL * metal)
        elif post == run.posts[-1] and not run.finish:
            run = replace(run, finish=FINISH + FOR_METAL * metal)
        runs.append(run)
    return replace(plan.job, runs=tuple(runs))
