"""What a remedy at a post changes, turned into the part of the job with it and into words and keys."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from jiggen.job.model import Job, PostKind
from jiggen.job.wording import joined
from jiggen.plan.model import Plan
from jiggen.problems import Cure
from jiggen.review.again import Near, on_kind
from jiggen.review.written import Keys, length_text, run_path, said
from jiggen.shapes.known import SHAPES, section


@dataclass(frozen=True)
class Trial:
    """The part of a job with a change at a post.

    ``own``: what is changed of that post's kind, values as a job has them (``rotate``, ``width``, ...; None: not given).
    ``words``, ``keys``: of whatever else is changed.
    """

    job: Job
    own: Mapping[str, str | None] = field(default_factory=dict)
    words: str = ""
    keys: Mapping[str, str] = field(default_factory=dict)

    def more(self, job: Job, words: str, keys: Mapping[str, str]) -> Trial:
        """The trial with something else changed too."""
        said_so_far = f"{self.words} and {words}" if self.words else words
        return Trial(job, self.own, said_so_far, {**self.keys, **keys})


def kind_of(plan: Plan, part: Near) -> tuple[str, str]:
    """The name of the post's kind, and that of the kind which is its alone: the same one where no other post has it."""
    kind = plan.post_by_id[part.post].kind.name
    if sum(one.kind.name == kind for one in plan.posts) == 1:
        return kind, kind
    name = f"{kind} at {part.post}"
    return kind, next(one for one in (name, *(f"{name} {n}" for n in range(2, 999))) if one not in plan.job.kinds)


def turned(plan: Plan, part: Near, text: str, angle: float) -> Trial:
    """The post turned by ``text`` degrees, ``angle`` in radians, from its first run."""
    kind, name = kind_of(plan, part)
    job = on_kind(part.job, part.post, replace(part.job.kinds[kind], name=name, rotate=angle))
    return Trial(job, {"rotate": f"{text} deg"})


@dataclass(frozen=True, slots=True)
class Size:
    """The ``sizes`` of a post in the order of its shape's keys, mm; ``core``: of the wood in a sleeve."""

    sizes: tuple[float, ...]
    core: float | None = None


def widened(plan: Plan, part: Near, trial: Trial, size: Size) -> Trial:
    """The trial with the post alone of another size."""
    given, name = kind_of(plan, part)
    kind = trial.job.kinds[trial.job.stands.only[part.post]]
    made = replace(kind, name=name, section=section(kind.shape, *size.sizes), core=size.core)
    own = {**trial.own, **_sized(plan, kind, size), **_instead_of_trade(plan, given, kind)}
    return replace(trial, job=on_kind(trial.job, part.post, made), own=own)


def _sized(plan: Plan, kind: PostKind, size: Size) -> dict[str, str]:
    """A size as keys of its kind; of a sleeve its core too."""
    named = dict(zip(SHAPES[kind.shape].keys, size.sizes, strict=True))
    if size.core is not None:
        named["core"] = size.core
    return {key: length_text(plan, mm) for key, mm in named.items()}


def _instead_of_trade(plan: Plan, given: str, kind: PostKind) -> dict[str, str | None]:
    """What a kind ``given`` by the trade's name of its size says instead, but for the size itself."""
    table = plan.job.data["post"][given]
    if "size" not in table:
        return {}
    wall = {"wall": length_text(plan, kind.wall)} if kind.wall is not None and "wall" not in table else {}
    shape = {"shape": kind.shape} if kind.shape != "square" else {}
    return {"size": None, **shape, **wall}


def cure_of(plan: Plan, part: Near, trial: Trial) -> Cure:
    """The trial in words and as keys of the job file."""
    words, keys = _own_kind(plan, part, trial.own) if trial.own else ("", {})
    return Cure(", and ".join(filter(None, (words, trial.words))), tuple({**keys, **trial.keys}.items()))


def _own_kind(plan: Plan, part: Near, own: Mapping[str, str | None]) -> tuple[str, Keys]:
    """One post's kind changed: its own where it has one, else a new one for it; every other post keeps its kind."""
    kind, name = kind_of(plan, part)
    given = {key: value for key, value in own.items() if value is not None}
    told = ", ".join(f'{key} = "{value}"' for key, value in given.items())
    if name == kind:
        keys = {joined(joined("post", kind), key): "" if value is None else said(value) for key, value in own.items()}
        return f"{_done(own, 'the post')}: {told} in [post.{kind}]", keys
    table = {key: value for key, value in plan.job.data["post"][kind].items() if key not in own}
    keys = {
        joined("post", name): said({**table, **given}),
        joined("posts.only", part.post): said(name),
    }
    stands: Mapping[str, Any] = plan.job.data.get("posts", {})
    if "line" not in stands:
        keys["posts.line"] = said(plan.job.stands.line)
    done = _done(own, f"post {part.post} alone")
    return f'{done}: a kind "{name}" like {kind} with {told}, in [posts] only', keys


def _done(own: Mapping[str, str | None], post: str) -> str:
    """What is done to the post: it is turned, made wider, or both."""
    wide = any(key in shape.keys for key in own for shape in SHAPES.values())
    return f"turn {post}" if not wide else f"turn and widen {post}" if "rotate" in own else f"widen {post}"


def end_key(plan: Plan, run: str, end: str, name: str) -> Keys:
    """The key that gives an end of a run another fitting."""
    index = next(i for i, one in enumerate(plan.job.runs) if one.id == run)
    return {run_path(plan, index, end): said(name)}
