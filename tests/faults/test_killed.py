"""A make that is ended at any moment leaves a whole packet in the folder: the earlier one or the new one, never half."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from random import Random
from time import monotonic, sleep

import pytest
from commands import tree
from faults.child import called, ended_at, forked, needs_fork, whole_one
from packets import JOBS, packet, write_packet

from jiggen import packetfolder

EARLIER = {"packet.pdf": b"earlier", "sheets/S1.svg": b"one", "sheets/S2.svg": b"two", "job.toml": b"x"}
LATER = {"packet.pdf": b"later" * 9000, "sheets/S1.svg": b"three", "plan.json": b"{}"}
POINTS = 50 if os.environ.get("BY_HAND") else 2  # BY_HAND=1 python -m pytest tests/faults

pytestmark = needs_fork


@pytest.fixture(params=["in one step", "by turns"])
def way(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """How a packet takes the earlier one's place: as Linux can, and as every system can."""
    if request.param == "by turns":
        monkeypatch.setattr(packetfolder, "_exchanged", lambda one, other: False)
    return str(request.param)


def beside(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.parent.iterdir() if path != folder)


def test_at_every_step_of_writing(way: str, tmp_path: Path) -> None:
    """Killed at each call that touches the disk; the next make finds a whole packet and leaves nothing else beside it."""
    folder = tmp_path / "out"
    steps, found = 0, set()
    while True:
        steps += 1
        write_packet(folder, EARLIER)
        assert beside(folder) == []
        ended = ended_at(steps, lambda: write_packet(folder, LATER))
        if ended.code == 0:
            break
        assert ended.code == -9, ended
        if folder.exists() or way == "in one step":
            found.add(whole_one(folder, [EARLIER, LATER]))
        else:  # between the two turns the earlier packet lies whole beside the folder
            (aside,) = tmp_path.glob(".out-old-*/out")
            assert whole_one(aside, [EARLIER]) == 0
            found.add(2)
    assert steps > 20
    assert found == ({0, 1} if way == "in one step" else {0, 1, 2})
    assert whole_one(folder, [LATER]) == 0


def test_at_every_step_of_the_first_packet(tmp_path: Path) -> None:
    steps = 0
    while True:
        steps += 1
        folder = tmp_path / f"place {steps}" / "out"
        ended = ended_at(steps, lambda folder=folder: write_packet(folder, LATER))
        if folder.exists():
            whole_one(folder, [LATER])
        if ended.code == 0:
            break
        assert ended.code == -9, ended
    assert steps > 15


def test_an_earlier_packet_comes_back_where_the_next_make_fails_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Ended between the two turns, then a full disk: the earlier packet is in its place again."""
    folder = tmp_path / "out"
    aside = tmp_path / ".out-old-abcd_123" / "out"
    aside.parent.mkdir()
    write_packet(aside, EARLIER)

    def full(self: Path, data: bytes) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(OSError, match="No space"):
        write_packet(folder, LATER)
    assert whole_one(folder, [EARLIER]) == 0
    assert beside(folder) == []


def test_what_is_none_of_ours_stays(tmp_path: Path) -> None:
    """A folder with such a name by chance, with other things in it, is not cleaned up; nor one that is in use."""
    (tmp_path / ".out-new-pictures").mkdir()
    (tmp_path / ".out-new-pictures" / "holiday.jpg").write_bytes(b"x")
    (tmp_path / ".out-old-pictures" / "out").mkdir(parents=True)
    (tmp_path / ".out-old-pictures" / "holiday.jpg").write_bytes(b"x")
    (tmp_path / ".out-new-notes").mkdir()
    (tmp_path / ".out-new-ab12cd34").write_bytes(b"a file")
    (tmp_path / ".out-new-1234abcd").mkdir()
    (tmp_path / ".out-new-1234abcd" / "packet.pdf").write_bytes(b"half")
    lock = packetfolder._lock(tmp_path / ".out-new-1234abcd")
    before = tree(tmp_path)
    # in a child: a second lock of the same process would be granted on some systems
    assert forked(lambda: write_packet(tmp_path / "out", LATER)).code == 0
    assert {name: data for name, data in tree(tmp_path).items() if not name.startswith("out/")} == before
    assert lock is not None
    os.close(lock)
    write_packet(tmp_path / "out", LATER)
    assert not (tmp_path / ".out-new-1234abcd").exists()
    assert (tmp_path / ".out-new-pictures" / "holiday.jpg").exists()
    assert (tmp_path / ".out-new-notes").exists()


def make(folder: Path, name: str) -> subprocess.Popen[bytes]:
    command = [sys.executable, "-m", "jiggen", "make", JOBS / f"{name}.toml", "--to", folder]
    return subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd=folder.parent)


def test_at_random_moments(tmp_path: Path) -> None:
    """A real make by itself, killed by the clock; BY_HAND=1 does it at 50 moments."""
    packets: list[Mapping[str, bytes]] = [packet("ramp").files, packet("smallest").files]
    folder, dice = tmp_path / "out", Random(4)
    start = monotonic()
    assert make(folder, "smallest").wait() == 0
    needed = monotonic() - start
    write_packet(folder, packets[0])
    for index in range(POINTS):
        process = make(folder, "smallest")
        # half of them near the end, where the files are written
        sleep(needed * (dice.random() if index % 2 else dice.uniform(0.8, 1.05)))
        process.kill()
        process.wait()
        if whole_one(folder, packets) == 1:
            write_packet(folder, packets[0])
    assert called(["make", JOBS / "smallest.toml", "--to", folder]).code == 0
    assert whole_one(folder, packets) == 1
    assert beside(folder) == []


def racing(folder: Path, files: Mapping[str, bytes], times: int) -> Callable[[], None]:
    def work() -> None:
        for _ in range(times):
            write_packet(folder, files)

    return work


def read_whole(folder: Path) -> dict[str, bytes] | None:
    """What one and the same folder holds, by its handle, whatever has its name meanwhile; None where it went away."""
    found: dict[str, bytes] = {}
    try:
        place = os.open(folder, os.O_RDONLY)
    except FileNotFoundError:
        return None
    try:
        for path, _, names, handle in os.fwalk(dir_fd=place):
            for name in names:
                with open(os.open(name, os.O_RDONLY, dir_fd=handle), "rb") as file:
                    found[os.path.normpath(f"{path}/{name}")] = file.read()
        same = os.path.samestat(os.fstat(place), os.stat(folder))
    except FileNotFoundError:
        return None
    finally:
        os.close(place)
    return found if same else None


def test_two_makes_into_one_folder(way: str, tmp_path: Path) -> None:
    """Writers that come between one another: whoever looks sees one whole packet, and nothing is left beside it."""
    folder = tmp_path / "out"
    write_packet(folder, EARLIER)
    children = []
    for files in (EARLIER, LATER, EARLIER, LATER):
        child = os.fork()
        if not child:
            code = 1
            try:
                racing(folder, files, 25)()
                code = 0
            finally:
                os._exit(code)
        children.append(child)
    seen = []
    codes = []
    while children:
        found = read_whole(folder)
        if found is not None:
            assert found in (EARLIER, LATER)
            seen.append(found == LATER)
        for child in list(children):
            done, status = os.waitpid(child, os.WNOHANG)
            if done:
                codes.append(os.waitstatus_to_exitcode(status))
                children.remove(child)
    assert codes == [0, 0, 0, 0]
    assert len(seen) > 3
    whole_one(folder, [EARLIER, LATER])
    assert beside(folder) == []


def test_two_commands_into_one_folder(tmp_path: Path) -> None:
    packets: list[Mapping[str, bytes]] = [packet("ramp").files, packet("smallest").files]
    folder = tmp_path / "out"
    both = [make(folder, "ramp"), make(folder, "smallest")]
    assert [process.wait() for process in both] == [0, 0]
    whole_one(folder, packets)
    assert beside(folder) == []
