"""A post and the runs that it stands in turned into its role, and the role into its kind."""

from __future__ import annotations

from collections.abc import Sequence

from jiggen.job.model import Role, Run, Stands


def role_of(post: str, runs: Sequence[Run]) -> Role:
    """The role of ``post``. ``runs``: the one or two runs that it stands in, in the job's order."""
    if len(runs) == 1:
        return "end" if post in (runs[0].posts[0], runs[0].posts[-1]) else "line"
    return "transition" if (runs[0].ground is None) != (runs[1].ground is None) else "corner"


def kind_at(stands: Stands, post: str, runs: Sequence[Run]) -> str:
    """The name of the kind of post that stands at ``post``: its own, else that of its role."""
    name: str = stands.only.get(post) or getattr(stands, role_of(post, runs))
    return name
