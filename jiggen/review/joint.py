"""A post's stops turned into one remedy for all of its faces: a turn, swivels, a width, planned again together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import floor

from jiggen.handbook.posts import NominalPost, nominal, nominal_names
from jiggen.job.model import Fitting
from jiggen.job.usual import FOR_METAL
from jiggen.plan.model import Plan, Post
from jiggen.plan.rigid import ASKEW, MOST_BENT, leaving
from jiggen.problems import Problem
from jiggen.review.again import Near, clears, posts_of, with_end
from jiggen.review.signs import Sign, sign
from jiggen.review.ways import Size, Trial, end_key, widened
from jiggen.review.written import piece_keys
from jiggen.shapes.known import SHAPES

STEP = {"mm": 10.0, "in": 12.7}  # of a wider post, mm: 10 mm, 1/2 in; common practice, no source
WIDTHS = 6  # steps that are tried
TURNS = 4  # turns that are tried with swivels


def targets(plan: Plan, part: Near) -> frozenset[Sign]:
    """The stops at the post that a turn or a wider post may cure, of all its faces."""
    own = [p for p in plan.problems if p.level == "stop" and posts_of(plan, p) == (part.post,)]
    return frozenset(sign(plan, problem) for problem in own if turnable(plan, problem)) & part.stops


def turnable(plan: Plan, problem: Problem) -> bool:
    """Whether a turn, a swivel or a wider post may cure it: its angle, its edge, holes of two faces that meet."""
    if any(words in problem.found for words in ("swivels up and down only", ASKEW, " edge")):
        return True
    name = sign(plan, problem)
    return name[-1] == "clash" and len(set(name[:-1])) > 1


class Ways:
    """What may cure the stops of one post, worked out as it is asked for, each once: ``turns``, swivels, widths."""

    def __init__(self, plan: Plan, part: Near, turns: Iterator[Trial]) -> None:
        self.plan, self.part = plan, part
        self._turns, self._coming = list[Trial](), turns
        self._swivels: list[Trial] | None = None
        self._wide: dict[tuple[int, Size], Trial] = {}

    def turns(self) -> Iterator[Trial]:
        """Every turn that is tried."""
        yield from self._turns
        for trial in self._coming:
            self._turns.append(trial)
            yield trial

    def turned(self) -> bool:
        """Whether a turn of the post can be tried at all."""
        return next(self.turns(), None) is not None

    def swivels(self) -> Sequence[Trial]:
        """Fittings that swivel any way, on the post as it is and on the post turned."""
        if self._swivels is None:
            ways = [swivelled(self.plan, self.part, trial) for trial in (Trial(self.part.job), *self._first(TURNS))]
            self._swivels = [trial for trial in ways if trial]
        return self._swivels

    def _first(self, count: int) -> list[Trial]:
        return [trial for _, trial in zip(range(count), self.turns(), strict=False)]

    def wide(self, wanted: frozenset[Sign]) -> Iterator[Trial]:
        """Wider posts, the least width first: as it is, turned, with swivels; of these those whose widest clears all."""
        sizes = list(_widths(self.plan, self.plan.post_by_id[self.part.post]))
        bases = (Trial(self.part.job), *self._first(1), *self.swivels()[:2]) if sizes else ()
        at_last = [(n, base) for n, base in enumerate(bases) if self._clears(n, base, sizes[-1], wanted)]
        for size in sizes:
            yield from (self._widened(n, base, size) for n, base in at_last)

    def _widened(self, number: int, base: Trial, size: Size) -> Trial:
        if (number, size) not in self._wide:
            self._wide[number, size] = widened(self.plan, self.part, base, size)
        return self._wide[number, size]

    def _clears(self, number: int, base: Trial, size: Size, wanted: frozenset[Sign]) -> bool:
        return clears(self.part, wanted, self._widened(number, base, size).job)


def best(ways: Ways, wanted: frozenset[Sign]) -> list[Trial]:
    """What clears every stop ``wanted`` of a post: a turn; else swivels, by themselves or with a turn; else the least
    width with as little more as it takes. Empty where nothing does."""
    if not wanted:
        return []
    for trials in (ways.turns, ways.swivels, lambda: ways.wide(wanted)):
        found = next((trial for trial in trials() if clears(ways.part, wanted, trial.job)), None)
        if found:
            return [found]
    return []


def swivelled(plan: Plan, part: Near, trial: Trial) -> Trial | None:
    """The trial with fittings that swivel any way at the post; None where they do already."""
    job, words = trial.job, []
    keys: dict[str, str] = {}
    for run in trial.job.runs:
        for end, at in (("start", run.posts[0]), ("finish", run.posts[-1])):
            old = job.fittings.get(getattr(run, end))
            if at != part.post or old is None or not _to_swivel(plan, run.id, at, old):
                continue
            own = f"{old.name} that swivels any way"
            new = next((job.fittings[n] for n in (_generic(plan, at, old), own) if n in job.fittings), old)
            if new is old and old.pivot is None:
                return None
            if new is old:
                new = replace(old, name=own, swivels="any")
                made = piece_keys(plan, "fitting", old.name, {"swivels": "any"}, new.name)
                if not made:
                    return None
                keys |= made
            elif new.swivels != "any":
                return None
            job = with_end(replace(job, fittings={**job.fittings, new.name: new}), run.id, end, new.name)
            keys |= end_key(plan, run.id, end, new.name)
            words.append(f'"{new.name}" at the {end} of run {run.id}')
    if not words:
        return None
    measure = " (measure the one you get)"
    return trial.more(job, f"use {' and '.join(words)}{measure}", keys)


def _to_swivel(plan: Plan, run: str, post: str, fitting: Fitting) -> bool:
    """Whether a fitting that swivels any way is worth a trial in the place of one: not of a rigid one that may stay."""
    if fitting.pivot is not None:
        return fitting.swivels != "any"
    line = next(one for one in plan.runs if one.id == run)
    skews = [face.skew for face in plan.post_by_id[post].faces if face.run == run and face.name.startswith("toward ")]
    return not fitting.at_rake and any(leaving(line.slope, skew) > MOST_BENT for skew in skews)


def _generic(plan: Plan, post: str, old: Fitting) -> str:
    """The name of the generic fitting that swivels any way in the place of ``old``."""
    if old.pivot is not None:
        return old.name.replace("plate", "swivel")
    metal = FOR_METAL if plan.post_by_id[post].kind.material.kind == "metal" else ""
    return f"{'take-up' if old.travel > 0.0 else 'fixed'} swivel{metal}"


def _widths(plan: Plan, post: Post) -> Iterator[Size]:
    """Larger sizes worth a trial of a post, the least first; of wood in an inch job, in a sleeve too, those it is sawn to."""
    kind = post.kind
    sawn = kind.material.kind == "wood" and plan.job.units == "in" and (kind.wall is None or kind.core is not None)
    step = STEP[plan.job.units]
    if kind.core is not None:
        gap, core = kind.along - kind.core, kind.core
        if len(SHAPES[kind.shape].keys) == 1:  # the sleeve keeps its wall and what is between
            cores = _sawn_squares(core) if sawn else _stepped(core, step)
            yield from (Size((one + gap,), one) for one in cores)
    elif len(SHAPES[kind.shape].keys) == 1:
        yield from (Size((one,)) for one in (_sawn_squares(kind.along) if sawn else _stepped(kind.along, step)))
    elif sawn:
        yield from _sawn_larger(kind.along, kind.across)
    else:  # as deep along the run as it is, its faces towards the cables wider
        yield from (Size((kind.along, one)) for one in _stepped(kind.across, step))


def _stepped(size: float, step: float) -> Iterator[float]:
    """Whole steps above a size, mm."""
    first = floor(size / step + 1e-6) + 1
    return (n * step for n in range(first, first + WIDTHS))


def _sawn() -> list[NominalPost]:
    return [
        one
        for one in map(nominal, nominal_names())
        if one and one.shape in ("square", "rectangular") and one.wall is None
    ]


def _sawn_squares(size: float) -> list[float]:
    """Squares that wood is sawn to, wider than a size, mm."""
    return sorted(one.along for one in _sawn() if one.shape == "square" and one.along > size + 1e-6)


def _sawn_larger(along: float, across: float) -> list[Size]:
    """What wood is sawn to that is no smaller either way than a rectangular post, laid either way, the least first."""
    ways = {way for one in _sawn() for way in ((one.along, one.across), (one.across, one.along))}
    larger = [w for w in ways if w[0] > along - 1e-6 and w[1] > across - 1e-6 and sum(w) > along + across + 1e-6]
    return [Size(way) for way in sorted(larger, key=lambda way: (way[0] * way[1], way))][:WIDTHS]
