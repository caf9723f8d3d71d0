"""Installed metadata turned into what each library that we ask for is licensed under: python tests/licences.py"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path

from packaging.requirements import Requirement

PROJECT = Path(__file__).resolve().parents[1]
FAMILIES = ("LGPL", "GPL", "MPL", "Apache", "BSD", "MIT", "PSF", "Zlib")
LONG = {"Python Software Foundation": "PSF", "Mozilla Public License": "MPL", "Lesser General Public": "LGPL"}


def asked() -> dict[str, list[str]]:
    """Names of the libraries that we ask for, by extra; "" for those that are always installed."""
    project = tomllib.loads((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    every = {"": project["dependencies"], **project["optional-dependencies"]}
    return {extra: [Requirement(line).name.lower() for line in lines] for extra, lines in every.items()}


def brought(name: str, seen: set[str] | None = None) -> set[str]:
    """Names of all that a library brings with it, its extras left out; what is not installed here is passed over."""
    seen = set() if seen is None else seen
    for line in distribution(name).requires or ():
        wanted = Requirement(line)
        other = re.sub(r"[-_.]+", "-", wanted.name).lower()
        if other in seen or (wanted.marker and not wanted.marker.evaluate({"extra": ""})):
            continue
        try:
            distribution(other)
        except PackageNotFoundError:
            continue
        seen.add(other)
        brought(other, seen)
    return seen


def licence(name: str) -> str:
    """The licence that a library's metadata tell: an SPDX expression, a classifier, or the first line of a text."""
    told = distribution(name).metadata
    classifiers = [one.rpartition(" :: ")[2] for one in told.get_all("Classifier") or () if one.startswith("License")]
    text = told.get("License-Expression") or next(iter(classifiers), "") or told.get("License") or ""
    return text.strip().partition("\n")[0]


def family(text: str) -> str:
    """The kind of a licence, "" where none of the usual ones is named."""
    for long, short in LONG.items():
        text = text.replace(long, short)
    return next((one for one in FAMILIES if re.search(rf"\b{one}", text)), "")


def lines() -> Iterator[str]:
    for extra, names in asked().items():
        for name in names:
            yield f"{extra or 'always'}: {name}: {licence(name)}"
    others = {one for extra in ("", "page", "scan") for name in asked()[extra] for one in brought(name)}
    for name in sorted(others):
        yield f"brought: {name}: {licence(name)}"


if __name__ == "__main__":
    print("\n".join(lines()))
