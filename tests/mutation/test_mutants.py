"""The list of slips still fits the program, and the page of results tells of every one of them."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest
from mutation.mutants import MUTANTS, Mutant
from mutation.run import PROJECT, RESULTS, Noticed, broken, row, rows_of, table


def test_there_are_enough_of_them() -> None:
    assert len(MUTANTS) >= 30
    assert len({mutant.name for mutant in MUTANTS}) == len(MUTANTS)
    assert len({mutant.file.split("/")[0] for mutant in MUTANTS}) >= 5


@pytest.mark.parametrize("mutant", MUTANTS, ids=lambda mutant: mutant.name.replace(" ", "-"))
def test_its_text_stands_once(mutant: Mutant) -> None:
    """And what replaces it is another text, is still Python, and has tests to run."""
    text = (PROJECT / "jiggen" / mutant.file).read_text(encoding="utf-8")
    assert text.count(mutant.old) == 1
    other = text.replace(mutant.old, mutant.new)
    assert ast.dump(ast.parse(other)) != ast.dump(ast.parse(text))
    assert mutant.tests
    assert all((PROJECT / place).exists() for place in mutant.tests)


def test_broken_and_mended(tmp_path: Path) -> None:
    file = tmp_path / "jiggen" / "a.py"
    file.parent.mkdir()
    file.write_text("x = 1\n")
    assert broken(Mutant("one", "a.py", "= 1", "= 2", ()), tmp_path) == "x = 1\n"
    assert file.read_text() == "x = 2\n"
    with pytest.raises(ValueError, match="stands 0 times"):
        broken(Mutant("one", "a.py", "= 1", "= 2", ()), tmp_path)


def test_what_nobody_noticed_is_told() -> None:
    one, other = MUTANTS[:2]
    rows = [row(Noticed(one, "", ())), row(Noticed(other, "plan/test_x.py::test_y", ("ramp: read-back",)))]
    page = table(rows)
    assert "2 slips: 1 noticed by a test, 1 by read-back, 1 by nobody." in page
    assert f"| {one.name} | {one.file} | none | made |" in page
    assert rows_of(page) == rows


def test_the_results_tell_of_every_one() -> None:
    page = RESULTS.read_text(encoding="utf-8")
    assert [mutant.name for mutant in MUTANTS if f"| {mutant.name} |" not in page] == []
    assert f"{len(MUTANTS)} slips: " in page
