"""The generic fittings: each in the words of a job file, each to be read and built."""

from __future__ import annotations

from pathlib import Path

import pytest

import jiggen.handbook
from jiggen.handbook.fittings import generic_brackets, generic_fittings
from jiggen.handbook.screws import parse_screw
from jiggen.units import length

KEYS = {"outline", "flange", "screws", "screw", "pivot", "swivels", "setback", "travel", "takes_up", "bore"}
KEYS |= {"bore_depth", "washer", "at_rake", "passes_through"}


def test_names() -> None:
    fixed_and_take_up = [f"{start} {kind}" for kind in ("plate", "swivel", "stud") for start in ("fixed", "take-up")]
    assert list(generic_fittings()) == [*fixed_and_take_up, "rigid plate"]
    assert list(generic_brackets()) == ["side plate", "metric side plate"]


@pytest.mark.parametrize("name", generic_fittings())
def test_each_fitting_can_be_built(name: str) -> None:
    fitting = generic_fittings()[name]
    assert set(fitting) <= KEYS
    across, up = (length(side) for side in fitting["outline"])
    for x, y in fitting.get("screws", ()):
        assert abs(length(x)) < across / 2 and abs(length(y)) < up / 2  # on its own flange
    assert ("bore" in fitting) == name.endswith("stud")
    assert ("screw" in fitting) == ("screws" in fitting) == (not name.endswith("stud"))
    pivots = name.endswith(("plate", "swivel")) and name != "rigid plate"
    assert ("pivot" in fitting) == ("swivels" in fitting) == pivots
    assert (length(fitting["travel"]) > 0) == ("takes_up" in fitting) == name.startswith("take-up")
    assert length(fitting["setback"]) > length(fitting["flange"]) > 0
    if "screw" in fitting:
        assert parse_screw(fitting["screw"]).length > length(fitting["flange"])


@pytest.mark.parametrize("name", generic_brackets())
def test_each_bracket_can_be_built(name: str) -> None:
    bracket = generic_brackets()[name]
    across, up = (length(side) for side in bracket["outline"])
    xs, ys = zip(*((length(x), length(y)) for x, y in bracket["screws"]), strict=True)
    assert max(xs) - min(xs) < across and max(ys) - min(ys) < up
    assert parse_screw(bracket["screw"]).kind == "wood"


def test_the_file_says_that_its_sizes_are_to_be_measured() -> None:
    text = (Path(jiggen.handbook.__file__).parent / "fittings.toml").read_text(encoding="utf-8")
    assert "MEASURE YOURS" in text.splitlines()[0]
