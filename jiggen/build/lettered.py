"""Names of a job turned into problems where the lettering of its sheets does not tell them: boxes, names that read alike."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from jiggen.drawing.lettering import as_drawn, lacking
from jiggen.job.model import Job
from jiggen.job.wording import quoted
from jiggen.problems import Problem
from jiggen.told import listed

FEW = 6  # of many characters or names these are told
REMEDY = "write names in Latin letters and figures"


def unlettered(job: Job) -> Iterator[Problem]:
    """What is drawn as empty boxes, a note; posts or runs that read the same then, a check: a mark is known by its post."""
    posts = dict.fromkeys(post for run in job.runs for post in run.posts)
    runs = [run.id for run in job.runs]
    lost = lacking("".join((job.name, *posts, *runs, *job.kinds)))
    if lost:
        found = (
            f"the lettering of the sheets has no {listed([quoted(one) for one in lost], FEW)}: it draws a box for each"
        )
        yield Problem("note", "names", found, REMEDY)
    yield from _alike("posts", posts)
    yield from _alike("runs", runs)


def _alike(what: str, names: Iterable[str]) -> Iterator[Problem]:
    drawn = defaultdict(list)
    for name in names:
        drawn[as_drawn(name)].append(quoted(name))
    for same in drawn.values():
        if len(same) > 1:
            yield Problem("check", "names", f"{what} {listed(same, FEW)} read the same on the sheets", REMEDY)
