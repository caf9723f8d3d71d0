"""The wheel holds all that is needed: installed elsewhere it makes the demo packet with its own fonts."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
import sysconfig
import tomllib
import zipfile
from pathlib import Path

import pytest
from packets import PROJECT


def called(*words: object, cwd: Path) -> str:
    done = subprocess.run([str(word) for word in words], cwd=cwd, capture_output=True, text=True, check=False)
    assert done.returncode == 0, f"{words}\n{done.stdout}\n{done.stderr}"
    return done.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    called(sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", folder, PROJECT, cwd=folder)
    (made,) = folder.glob("*.whl")
    return made


def test_every_library_is_asked_for() -> None:
    """What the package imports and Python does not bring is among the dependencies that an installer fetches."""
    wanted = set()
    for file in (PROJECT / "jiggen").rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                wanted |= {alias.name.partition(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
                wanted.add(node.module.partition(".")[0])
    project = tomllib.loads((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = project["optional-dependencies"]
    asked = {
        re.split(r"[^a-z0-9-]", line.lower())[0]
        for line in [*project["dependencies"], *extras["page"], *extras["scan"]]
    }
    asked |= {"cv2"} if "opencv-python-headless" in asked else set()
    assert "click" in asked & wanted
    assert wanted - set(sys.stdlib_module_names) - {"jiggen"} - asked == set()


@pytest.mark.slow
def test_wheel_holds_data_and_no_tests(wheel: Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    assert "jiggen/fonts/jiggen-stroke.svg" in names
    assert "jiggen/job/demo.toml" in names
    for file in (PROJECT / "jiggen").rglob("*"):
        if file.is_file() and "__pycache__" not in file.parts:
            assert file.relative_to(PROJECT).as_posix() in names
    assert not [name for name in names if name.startswith("tests/")]


@pytest.mark.slow
def test_demo_from_the_wheel(wheel: Path, tmp_path: Path) -> None:
    """In a fresh environment that sees the libraries of this one and not this checkout."""
    room = tmp_path / "venv"
    called(sys.executable, "-m", "venv", "--without-pip", room, cwd=tmp_path)
    python = room / ("Scripts" if sys.platform == "win32" else "bin") / "python"
    site = Path(called(python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))", cwd=tmp_path).strip())
    called(
        sys.executable, "-m", "pip", "--python", python, "install", "-q", "--no-deps", "--no-index", wheel, cwd=tmp_path
    )
    here = [sysconfig.get_path(name) for name in ("purelib", "platlib")]
    # plain lines of a .pth file are added behind and are not searched for .pth files, so the checkout stays unseen
    (site / "libraries.pth").write_text("".join(f"{path}\n" for path in dict.fromkeys(here)))
    where = "import jiggen, jiggen.drawing.lettering as l; print(jiggen.__file__); print(l._font_file())"
    for line in called(python, "-c", where, cwd=tmp_path).split():
        assert Path(line).is_relative_to(site)
    work = tmp_path / "elsewhere"
    work.mkdir()
    called(python, "-m", "jiggen", "demo", cwd=work)
    made = work / "outputs" / "demo"
    assert (made / "packet.pdf").read_bytes().startswith(b"%PDF-")
    script = room / ("Scripts" if sys.platform == "win32" else "bin") / "jiggen"
    told = called(script, "measure", made / "packet.pdf", cwd=work)
    assert "fingerprint" in told
