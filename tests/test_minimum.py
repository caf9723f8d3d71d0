"""Installed without extras, jiggen does the whole job; the page and the scan check say what to install."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from packets import JOBS, PROJECT

EXTRAS = ("starlette", "uvicorn", "jinja2", "cv2", "anyio", "h11", "markupsafe")
PROGRAM = f"""
import sys

class Missing:
    def find_spec(self, name, path=None, target=None):
        if name.partition(".")[0] in {EXTRAS!r}:
            raise ModuleNotFoundError(f"No module named {{name!r}}", name=name)

sys.meta_path.insert(0, Missing())
from jiggen.cli import main
main(sys.argv[1:], prog_name="jiggen")
"""


def bare(folder: Path, *words: object) -> subprocess.CompletedProcess[str]:
    """A command of ours where no library of the extras can be imported."""
    command = [sys.executable, "-c", PROGRAM, *map(str, words)]
    return subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)


def test_the_whole_job(tmp_path: Path) -> None:
    """From a first job file to a packet with jigs that is measured, form, scale page and printer."""
    steps = (
        ("start", "first.toml"),
        ("plan", "first.toml"),
        ("make", PROJECT / "jiggen" / "job" / "demo.toml", "--to", "packet"),
        ("measure", "packet/packet.pdf"),
        ("form", JOBS / "smallest.toml"),
        ("scale",),
    )
    for words in steps:
        done = bare(tmp_path, *words)
        assert done.returncode == 0, (words, done.stderr)
    assert list((tmp_path / "packet" / "jigs").glob("*.dxf"))
    assert (tmp_path / "form.pdf").exists()
    assert (tmp_path / "scale.pdf").exists()


@pytest.mark.parametrize(("words", "extra"), [(("serve",), "page"), (("scan-check", "scan.png"), "scan")])
def test_what_needs_an_extra_says_so(words: tuple[str, ...], extra: str, tmp_path: Path) -> None:
    (tmp_path / "scan.png").write_bytes(b"\x89PNG")
    done = bare(tmp_path, *words)
    assert done.returncode != 0
    assert f"[{extra}]" in done.stderr
    assert "Traceback" not in done.stderr
