"""A Job turned into the whole packet, file after file into a store or all in memory, each read back before it counts."""

from __future__ import annotations

from jiggen.build.marks import measure
from jiggen.build.model import Drawn, Options, Packet, Progress, ReadBackError, Store, Survey, options_from
from jiggen.build.packet import build, write
from jiggen.build.pages import form_file, scale_file
from jiggen.build.survey import survey
from jiggen.plan.make import fingerprint

__all__ = [
    "Drawn",
    "Options",
    "Packet",
    "Progress",
    "ReadBackError",
    "Store",
    "Survey",
    "build",
    "fingerprint",
    "form_file",
    "measure",
    "options_from",
    "scale_file",
    "survey",
    "write",
]
