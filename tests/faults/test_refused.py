"""What the machine refuses (space, rights, a home folder, an output, a language) ends in one clear problem, or changes nothing."""

from __future__ import annotations

import os
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner
from commands import tree
from faults.child import called, clear, needs_fork, whole_one
from packets import JOBS, packet, write_packet

from jiggen.cli import main

SMALLEST = JOBS / "smallest.toml"
EARLIER = {"packet.pdf": b"earlier", "sheets/S1.svg": b"one"}
NOBODY = 54321  # a user that no list of users has

pytestmark = [needs_fork, pytest.mark.skipif(sys.platform == "win32", reason="rights and limits of Unix")]


@pytest.fixture(scope="module", autouse=True)
def imported() -> None:
    """Everything that a make imports, before any child runs without the right to read it."""
    packet("smallest")
    for arguments in (
        ["plan", str(SMALLEST)],
        ["printer"],
        ["form", "--to", os.devnull],
        ["scale", "--to", os.devnull],
    ):
        CliRunner().invoke(main, arguments)


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 200 kB in memory; without the right to mount one, the test is left out."""
    place = tmp_path / "disk"
    place.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", "size=200k", "none", str(place)]
    if shutil.which("mount") is None or subprocess.run(command, capture_output=True, check=False).returncode:
        pytest.skip("no right to mount a small disk here; the limit on a file's size stands in for it")
    yield place
    subprocess.run(["umount", str(place)], check=True)


def test_full_disk(small_disk: Path) -> None:
    """A packet of 700 kB on a disk of 200: the earlier one stays, nothing lies beside it."""
    folder = small_disk / "out"
    write_packet(folder, EARLIER)
    ended = called(["make", SMALLEST, "--to", folder])
    clear(ended, 3)
    assert "No space left" in ended.err
    assert whole_one(folder, [EARLIER]) == 0
    assert [path.name for path in small_disk.iterdir()] == ["out"]


def test_full_disk_for_other_files(small_disk: Path) -> None:
    (small_disk / "filler").write_bytes(b"x" * 190_000)
    for command in (["form", "--to", small_disk / "form.pdf"], ["scale", "--to", small_disk / "scale.pdf"]):
        clear(called(command), 3)


def test_limit_on_the_size_of_a_file(tmp_path: Path) -> None:
    """The same where a file may have 100 kB at most: the packet's PDF does not fit."""
    folder = tmp_path / "out"
    write_packet(folder, EARLIER)

    def limited() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, 100_000))

    ended = called(["make", SMALLEST, "--to", folder], limited)
    clear(ended, 3)
    assert "too large" in ended.err
    assert whole_one(folder, [EARLIER]) == 0
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


@pytest.fixture
def open_place() -> Iterator[Path]:
    """A folder that every user may enter."""
    place = Path(tempfile.mkdtemp())
    place.chmod(0o755)
    yield place
    shutil.rmtree(place)


def as_nobody() -> None:
    """Give up the rights of the superuser, who may write anywhere."""
    if os.getuid() == 0:
        os.setgroups([])
        os.setgid(NOBODY)
        os.setuid(NOBODY)


def test_read_only_folder(open_place: Path) -> None:
    job = open_place / "job.toml"
    job.write_bytes(SMALLEST.read_bytes())
    job.chmod(0o644)
    open_place.chmod(0o555)
    before = tree(open_place)
    for arguments in (["make", job, "--to", open_place / "out"], ["start", open_place / "new.toml"]):
        ended = called(arguments, as_nobody)
        clear(ended, 3)
        assert "Permission denied" in ended.err
    open_place.chmod(0o755)
    assert tree(open_place) == before


def test_read_only_packet(open_place: Path) -> None:
    """An earlier packet in a folder that may not be changed stays as it is."""
    write_packet(open_place / "out", EARLIER)
    open_place.chmod(0o555)
    ended = called(["make", SMALLEST, "--to", open_place / "out"], as_nobody)
    open_place.chmod(0o755)
    clear(ended, 3)
    assert whole_one(open_place / "out", [EARLIER]) == 0


def test_a_job_that_may_not_be_read(open_place: Path) -> None:
    job = open_place / "job.toml"
    job.write_bytes(SMALLEST.read_bytes())
    job.chmod(0)
    for command in (["plan", job], ["make", job], ["measure", job]):
        clear(called(command, as_nobody), 2)


def test_a_folder_that_may_not_be_read(open_place: Path) -> None:
    """What lies in it cannot be told, so it is not replaced."""
    write_packet(open_place / "out", EARLIER)
    (open_place / "out").chmod(0)
    ended = called(["make", SMALLEST, "--to", open_place / "out"], as_nobody)
    (open_place / "out").chmod(0o755)
    assert ended.code in (2, 3)
    clear(ended, ended.code)
    assert whole_one(open_place / "out", [EARLIER]) == 0


def homeless() -> None:
    for name in ("HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME", "XDG_DATA_HOME", "USER", "LOGNAME"):
        os.environ.pop(name, None)
    as_nobody()


@pytest.mark.skipif(os.name != "posix" or os.getuid() != 0, reason="only the superuser can become one without a home")
def test_no_home(open_place: Path) -> None:
    """A user without a home folder makes packets; only what is kept there is refused."""
    job = open_place / "job.toml"
    job.write_bytes(SMALLEST.read_bytes())
    open_place.chmod(0o777)
    ended = called(["make", job, "--to", open_place / "out"], homeless)
    assert ended.code == 0, ended
    assert whole_one(open_place / "out", [packet("smallest").files]) == 0
    kept = ["printer", "shed", "--across", "190.6 of 190.5 mm", "--along", "254.2 of 254.0 mm"]
    for arguments in (["printer"], kept, ["make", job, "--to", open_place / "two", "--printer", "shed"]):
        ended = called(arguments, homeless)
        clear(ended, 3)
        assert "HOME" in ended.err
    assert not (open_place / "two").exists()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
@pytest.mark.parametrize("arguments", [["plan", SMALLEST], ["plan", SMALLEST, "--json"], ["--help"]])
def test_full_output(arguments: list[object]) -> None:
    def full() -> None:
        sys.stdout = open("/dev/full", "w", encoding="utf-8")  # noqa: SIM115

    # the child's own flush at its end fails as well, which is not ours to judge; what was told comes before it
    ended = called(arguments, full)
    assert "stop: the output: cannot be used (No space left on device)" in ended.err
    assert "jiggen/" not in ended.err.replace("faults/child", "")


def test_a_reader_that_goes_away() -> None:
    """As  jiggen plan JOB | head -1  does."""
    command = [sys.executable, "-m", "jiggen", "plan", SMALLEST, "--json"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    assert process.stdout is not None
    assert process.stderr is not None
    process.stdout.close()
    assert b"Traceback" not in process.stderr.read()
    process.stderr.close()
    assert process.wait() in (0, 1)


@pytest.mark.skipif(sys.platform == "darwin", reason="names there are always UTF-8")
def test_names_that_are_not_utf8(tmp_path: Path) -> None:
    """A job file, and so its packet, with a byte in its name that is no character."""
    job = Path(os.fsdecode(os.fsencode(tmp_path) + b"/b\xffd.toml"))
    job.write_bytes(SMALLEST.read_bytes())

    def there() -> None:
        os.chdir(tmp_path)

    assert called(["plan", job]).code == 0
    ended = called(["make", job], there)
    assert ended.code == 0, ended
    made = Path(os.fsdecode(os.fsencode(tmp_path) + b"/b\xffd-packet"))
    assert whole_one(made, [packet("smallest").files]) == 0
    assert called(["measure", made / "packet.pdf"]).code == 0
    clear(called(["plan", made / "none.toml"]), 2)
    clear(called(["make", made / "none.toml"]), 2)


CITIES = "job = { name = 'Ağrı İzmir \u00e9 漢', code = 'irc-2021' }\npost.fir.width = '3 1/2 in'\n"
RUN = "run = [{ posts = ['ı', 'İ'], spans = ['42 in'] }]\n"


@pytest.mark.parametrize(
    "there",
    [
        {"LC_ALL": "tr_TR.UTF-8", "TZ": "Pacific/Chatham", "PYTHONHASHSEED": "1"},
        {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "TZ": "America/St_Johns", "PYTHONHASHSEED": "2"},
    ],
)
def test_languages_seeds_and_zones(there: dict[str, str], tmp_path: Path) -> None:
    """Turkish i, plain ASCII output, another zone and hash seed: the same packet, and every name is told."""
    job = tmp_path / "job.toml"
    job.write_text(CITIES + RUN, encoding="utf-8")
    here = {key: value for key, value in os.environ.items() if key not in ("LANG", "LANGUAGE", "PYTHONIOENCODING")}
    command = [sys.executable, "-m", "jiggen", "make", "job.toml", "--to", "out"]
    done = subprocess.run(command, cwd=tmp_path, env=here | there, capture_output=True, check=False)
    assert done.returncode == 0, done.stderr
    ended = called(["make", job, "--to", tmp_path / "two"])
    assert ended.code == 0
    assert tree(tmp_path / "out") == tree(tmp_path / "two")
    assert b"Traceback" not in done.stderr
    levels = [line.partition(b":")[0] for line in done.stderr.splitlines()]
    assert levels[0] == b"note" and b"check" in levels  # what has to be decided stands last


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="no /dev/zero here")
def test_a_file_without_an_end() -> None:
    """No more is read of it than a file may have; a machine of 1 GB is enough for that."""

    def limited() -> None:
        resource.setrlimit(resource.RLIMIT_AS, (1024**3, 1024**3))

    for command in (["plan", "/dev/zero"], ["make", "/dev/zero"], ["measure", "/dev/zero"]):
        ended = called(command, limited)
        clear(ended, 2)
        assert "over 64 MB" in ended.err


def test_too_little_memory_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    def greedy(*_: object) -> None:
        raise MemoryError

    monkeypatch.setattr("jiggen.build.survey", greedy)
    ended = called(["plan", SMALLEST])
    clear(ended, 3)
    assert "memory" in ended.err


def test_without_stdout_and_stderr_a_packet_is_made(tmp_path: Path) -> None:
    """As  jiggen make JOB >&- 2>&-  does: Python has no streams then."""

    def closed() -> None:
        sys.stdout = sys.stderr = None  # type: ignore[assignment]

    called(["make", SMALLEST, "--to", tmp_path / "out"], closed)
    assert whole_one(tmp_path / "out", [packet("smallest").files]) == 0


@pytest.mark.parametrize("arguments", [["scale", "--to"], ["form", "--to"], ["start"]])
def test_a_file_that_cannot_be_replaced_stays(arguments: list[str], tmp_path: Path) -> None:
    """No more than 2 kB fit: half a file is not left, neither in the place of an earlier one nor in none."""

    def limited() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (2_000, 2_000))

    (tmp_path / "earlier").write_bytes(b"earlier")
    for name in ("earlier", "new"):
        ended = called([*arguments, tmp_path / name, "--force"], limited)
        clear(ended, 3)
        assert "too large" in ended.err
    assert tree(tmp_path) == {"earlier": b"earlier"}


def test_a_replaced_file_keeps_its_rights_and_its_link(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"earlier")
    (tmp_path / "file").chmod(0o640)
    (tmp_path / "link").symlink_to("file")
    assert called(["scale", "--to", tmp_path / "link", "--force"]).code == 0
    assert (tmp_path / "link").is_symlink()
    assert (tmp_path / "file").read_bytes().startswith(b"%PDF")
    assert (tmp_path / "file").stat().st_mode & 0o777 == 0o640
    assert sorted(path.name for path in tmp_path.iterdir()) == ["file", "link"]


def test_a_pipe_is_written_to() -> None:
    assert called(["scale", "--to", "/dev/null"]).code == 0
    assert not Path("/dev/null").is_file()
