"""A Job turned into its plan with every problem, its sheets cut into pages and its jigs laid on their panels."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import partial

from jiggen.build.lettered import unlettered
from jiggen.build.model import ALL, NONE, Drawn, Made, Options, Survey
from jiggen.compose.bench import Room
from jiggen.compose.template import template
from jiggen.job.model import Job
from jiggen.job.wording import quoted
from jiggen.plan.built import BUILT
from jiggen.plan.make import make_plan
from jiggen.plan.model import Group, Plan, PostFace
from jiggen.problems import JobError, Problem
from jiggen.review import findings
from jiggen.sheets.correction import foot_words
from jiggen.sheets.model import Paper, Sheet
from jiggen.sheets.paper import paper, usable
from jiggen.sheets.tiling import Tiled, pages
from jiggen.verify import targets

UNDRAWN = 3000  # marks: of a job with more and with stops no sheet is drawn before they are cured
KEPT = 40  # sheets: of a job with more none is kept, each is drawn again for its files


def survey(job: Job, options: Options | None = None) -> Survey:
    """The plan of a job, reviewed, with its sheets drawn and cut into pages.

    Raises JobError for an unknown sheet, post or paper among the options, and for an underside as built that could be
    either of two.
    """
    options = options or Options()
    plan = make_plan(job)
    if unclear := [problem for problem in plan.problems if problem.where.startswith(f"{BUILT}.")]:
        raise JobError(unclear)
    chosen = _paper(job, options)
    said = findings(plan)
    later = _drawn_later(plan, said, options)
    groups = [] if later else _chosen(plan, options)
    foot = f"{job.name}   {plan.fingerprint}"
    if options.correction:
        foot = f"{foot_words(options.printer)}   {foot}"
    room = Room(*usable(chosen), job.sheet.overlap)
    tiling = _Tiling(job, chosen, foot, len(groups) <= KEPT)
    sheets = tuple(
        tiling.drawn(group, [plan.face_by_id[f] for f in group.strip], partial(template, plan, group, room))
        for group in groups
    )
    samples = _samples(plan, room, tiling) if options.whole and not later else []
    made, found = _jigs(plan, groups, options)
    warnings = [_joins_note(drawn) for drawn in (*samples, *sheets) if drawn.warnings]
    problems = (*said, *found, *unlettered(job), *warnings, *later)
    return Survey(plan, problems, chosen, sheets, tuple(samples), options, foot, tuple(made))


def _drawn_later(plan: Plan, said: Sequence[Problem], options: Options) -> list[Problem]:
    """That a large job with stops is not drawn, as nobody can drill from it yet; [] where it is."""
    marks = sum(len(face.marks) for post in plan.posts for face in post.faces)
    if marks <= UNDRAWN or options.draft or not options.whole or all(problem.level != "stop" for problem in said):
        return []
    found = f"this job has {marks} marks and stops: its sheets and jigs are not drawn and their pages not counted yet"
    return [Problem("note", "sheets", found, "cure the stops, then plan again")]


@dataclass(frozen=True)
class _Tiling:
    """How sheets are cut into pages. ``keep``: whether a sheet that was drawn is kept until it is asked for."""

    job: Job
    paper: Paper
    foot: str
    keep: bool

    def drawn(self, group: Group, faces: Sequence[PostFace], sheet: Callable[[], Sheet]) -> Drawn:
        made = self.tiled(sheet)
        size = made.sheet.drawing
        return Drawn(
            group,
            targets(group, faces),
            made.sheet.name,
            size.width,
            size.height,
            made.count,
            made.warnings,
            (lambda: made) if self.keep else partial(self.tiled, sheet),
        )

    def tiled(self, sheet: Callable[[], Sheet]) -> Tiled:
        overlap = self.job.sheet.overlap
        try:
            return pages(sheet(), self.paper, overlap, self.foot, self.job.units)
        except ValueError as error:
            words = Problem("stop", "sheet.overlap", str(error), "use a larger paper or less overlap")
            raise JobError([words]) from None


def _samples(plan: Plan, room: Room, tiling: _Tiling) -> list[Drawn]:
    """The fittings, the practice sheet and the story poles."""
    from jiggen.compose.fittings import fitting_sheet
    from jiggen.compose.pole import pole, pole_runs

    samples = []
    for sample in plan.samples:
        sheet: Callable[[], Sheet]
        if sample.group.kind == "fitting":
            sheet = partial(fitting_sheet, plan, sample, room)
        else:
            sheet = partial(template, plan, sample.group, room, sample.face)
        samples.append(tiling.drawn(sample.group, [sample.face], sheet))
    for number, line in enumerate(pole_runs(plan), 1):
        group = Group(f"R{number}", (), line.posts, "pole", plan.job.sheet.datum)
        samples.append(tiling.drawn(group, [], partial(pole, plan, line, group.id, room)))
    return samples


def _jigs(plan: Plan, groups: Sequence[Group], options: Options) -> tuple[list[Made], list[Problem]]:
    """The jigs of the chosen groups, comb and discs with them, and what was found; one that cannot be is left out."""
    if plan.job.jig is None or options.jigs == NONE:
        return [], []
    from jiggen.compose.jig import layout
    from jiggen.plan.jigs.make import comb_jig, discs_jig, jigs
    from jiggen.sheets.nesting import NoRoom

    wanted = [group for group in groups if options.jigs == ALL or group.id in _names(options.jigs)]
    asked = [jig for group in wanted for jig in jigs(plan, group)]
    asked += [jig for jig in (comb_jig(plan), discs_jig(plan)) if jig is not None]
    made: list[Made] = []
    found: list[Problem] = []
    for jig in asked:
        found += [_not_made(problem) for problem in jig.problems]
        if not jig.parts or any(problem.level == "stop" for problem in jig.problems):
            continue
        try:
            made.append(Made(jig, layout(jig)))
        except NoRoom as error:
            found.append(
                Problem(
                    "check",
                    f"jig {jig.id}",
                    str(error),
                    "give a larger jig.bed or jig.stock; until then this jig is not made",
                )
            )
    return made, list(dict.fromkeys(found))


def _not_made(problem: Problem) -> Problem:
    """What stops a jig does not stop the sheets: told as a check, with what follows from it."""
    if problem.level != "stop":
        return problem
    return replace(problem, level="check", remedy=f"{problem.remedy}; until then this jig is not made")


def _joins_note(drawn: Drawn) -> Problem:
    first, more = drawn.warnings[0].removeprefix(f"sheet {drawn.group.id}: "), len(drawn.warnings) - 1
    words = first + (f" (and {more} more join{'s' * (more > 1)})" if more else "")
    return Problem("note", drawn.group.id, words, "mind those places when you tape the pages together")


def _paper(job: Job, options: Options) -> Paper:
    wish = job.sheet
    try:
        if options.paper:
            return paper(options.paper, wish.margin)
        return replace(paper(wish.size, wish.margin), name=wish.paper)
    except ValueError as error:
        raise JobError([Problem("stop", "paper", str(error), "choose letter, a4, legal, tabloid or a3")]) from None


def _names(text: str) -> list[str]:
    return [part.strip() for part in text.split(",")]


def _chosen(plan: Plan, options: Options) -> list[Group]:
    known = [group.id for group in plan.groups]
    problems = _unknown("--only", options.only, known, "no such sheet")
    problems += _unknown("--posts", options.posts, list(plan.post_by_id)[:40], "no such post", plan.post_by_id)
    if options.jigs not in (ALL, NONE):
        problems += _unknown("--jigs", _names(options.jigs), [ALL, NONE, *known], "no such sheet")
    if problems:
        raise JobError(problems)
    return [
        group
        for group in plan.groups
        if (not options.only or group.id in options.only)
        and (not options.posts or set(group.posts) & set(options.posts))
    ]


def _unknown(
    where: str, names: Iterable[str], told: Sequence[str], words: str, known: Iterable[str] | None = None
) -> list[Problem]:
    """A stop for each of ``names`` that is not ``known`` (all that are ``told`` where it is not given)."""
    right = set(told if known is None else known)
    return [
        Problem("stop", where, f"found {quoted(name)}, {words}", f"choose from {', '.join(told)}")
        for name in names
        if name not in right
    ]
