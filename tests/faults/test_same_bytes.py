"""The same job gives the same bytes from a wheel as from this checkout, and from every Python that is found here."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import sysconfig
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from commands import tree
from packets import JOBS, PROJECT, packet


def made_by(python: str, package: Path, tmp_path: Path) -> dict[str, bytes]:
    """The packet of a job from a package that lies in a folder, with the libraries of this Python."""
    places = dict.fromkeys([str(package), *(sysconfig.get_path(name) for name in ("purelib", "platlib"))])
    there = {**os.environ, "PYTHONPATH": os.pathsep.join(places)}
    command = [python, "-P", "-m", "jiggen", "make", JOBS / "smallest.toml", "--to", "out"]
    done = subprocess.run(command, cwd=tmp_path, env=there, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    where = [python, "-P", "-c", "import jiggen; print(jiggen.__file__)"]
    said = subprocess.run(where, cwd=tmp_path, env=there, capture_output=True, text=True, check=True).stdout
    assert Path(said.strip()).parent.parent == package
    return tree(tmp_path / "out")


@pytest.mark.slow
def test_wheel_and_checkout(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(tmp_path), str(PROJECT)]
    subprocess.run(command, cwd=tmp_path, capture_output=True, check=True)
    (wheel,) = tmp_path.glob("*.whl")
    with zipfile.ZipFile(wheel) as packed:
        packed.extractall(tmp_path / "package")
    assert made_by(sys.executable, tmp_path / "package", tmp_path) == dict(packet("smallest").files)


def others() -> Iterator[str]:
    """Other Pythons from 3.11 on: of the path, and beside the one that runs this."""
    beside = Path(sys.base_prefix).parent
    names = [shutil.which(f"python3.{minor}") for minor in range(11, 20)]
    found = {sys.version_info[:2]}
    for name in [*names, *map(str, sorted(beside.glob("3.*/bin/python3")))]:
        told = name and subprocess.run([name, "--version"], capture_output=True, text=True, check=False).stdout
        version = re.match(r"Python 3\.(\d+)\.", told or "")
        if name and version and int(version[1]) >= 11 and (3, int(version[1])) not in found:
            found.add((3, int(version[1])))
            yield name


def test_other_pythons(tmp_path: Path) -> None:
    """All but the preview, whose library is built for one Python and missing in the others; and all in plain Python."""
    pythons = list(others())
    if not pythons:
        pytest.skip("no other Python from 3.11 on is here")
    expected = {name: data for name, data in packet("smallest").files.items() if name != "preview.png"}
    for number, python in enumerate(pythons):
        place = tmp_path / str(number)
        place.mkdir()
        found = made_by(python, PROJECT, place)
        found.pop("preview.png", None)
        assert found == expected, python
