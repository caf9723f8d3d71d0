"""Every library that we ask for stands in DEVELOPERS.md with a reason and the licence that its own metadata tell."""

from __future__ import annotations

import re

from licences import asked, brought, family, licence
from packets import PROJECT

SILENT = {"axe-playwright-python"}  # its metadata tell no licence, its licence file does


def rows() -> dict[str, tuple[str, str]]:
    """Reason and licence of each library in the table."""
    text = (PROJECT / "DEVELOPERS.md").read_text(encoding="utf-8").partition("## Dependencies")[2].partition("\n## ")[0]
    found = re.findall(r"^\| ([a-z][a-z0-9-]+) \| ([^|]+) \| ([^|]+) \|$", text, re.MULTILINE)
    return {name: (why.strip(), told.strip()) for name, why, told in found if name != "library"}


def test_every_library_has_a_row_and_a_reason() -> None:
    wanted = {name for names in asked().values() for name in names}
    assert set(rows()) == wanted
    assert all(len(why) > 3 for why, _ in rows().values())


def test_licences_are_those_of_the_libraries() -> None:
    for name, (_, told) in rows().items():
        assert family(told), name
        if name not in SILENT:
            assert family(told) == family(licence(name)), name


def test_what_they_bring_is_under_such_a_licence_too() -> None:
    """None that would bind whoever installs jiggen further than what is in the table does."""
    run = [name for extra in ("", "page", "scan") for name in asked()[extra]]
    others = {one for name in run for one in brought(name)}
    assert "cairocffi" in others
    assert {family(licence(one)) for one in others} <= {"Apache", "BSD", "MIT", "PSF"}


def test_family() -> None:
    assert [family(one) for one in ("LGPL-3.0-or-later", "BSD-3-Clause AND MIT", "MIT-CMU", "PSF-2.0", "none")] == [
        "LGPL", "BSD", "MIT", "PSF", ""
    ]  # fmt: skip
    assert family("Python Software Foundation License") == "PSF"
    assert family("GNU Lesser General Public License v3") == "LGPL"
