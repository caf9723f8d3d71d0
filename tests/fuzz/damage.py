"""A file of a packet turned into a damaged one, the same for the same number, and given to the commands that read it.

By hand: python tests/fuzz/damage.py [COUNT] [SEED]
"""

from __future__ import annotations

import re
import sys
import tempfile
import zlib
from collections import Counter
from functools import cache
from pathlib import Path
from random import Random

if __package__ in (None, ""):
    sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from fuzz.run import called, no_number, trouble
from packets import JOBS

from jiggen.build import build
from jiggen.job.read import read_job

STREAM = re.compile(rb"stream\r?\n(.*?)\r?\nendstream", re.DOTALL)
NUMBER = re.compile(rb"-?\d+(?:\.\d+)?")
OTHERS = (b"nan", b"1e999", b"-1", b"0", b"99999999999999999999", b"1.2.3", b"--5", b"(", b">>", b"&#0;", b"\x00", b"")

JIG = 'jig = { thickness = "6 mm", bed = ["600 mm", "400 mm"], stock = ["48 in", "24 in"] }\n'
SLOW = 10.0  # s of processor time


@cache
def sound() -> dict[str, bytes]:
    """A file of each kind that a packet has, and that a command reads."""
    text = (JOBS / "smallest.toml").read_text(encoding="utf-8")
    plain, jigged = build(read_job(text)).files, build(read_job(JIG + text)).files
    return {
        "packet.pdf": plain["packet.pdf"],
        "S1.pdf": plain["sheets/S1.pdf"],
        "S1.svg": plain["sheets/S1.svg"],
        "jig.svg": jigged["jigs/S1.svg"],
        "jig.dxf": jigged["jigs/S1.dxf"],
    }


def hurt(name: str, seed: int, number: int, folder: Path) -> tuple[list[str], list[int]]:
    """What is wrong with how the commands take a damaged file, and their exit codes; a refused make leaves no folder."""
    file, place = folder / name, folder / f"of {name} {number}"
    file.write_bytes(damaged(sound()[name], seed, number))
    commands: list[list[object]] = [["measure", file]]
    if number % 4 == 0:
        commands += [["plan", file, "--json"], ["make", file, "--to", place]]
    troubles, codes = [], []
    for command in commands:
        result, seconds = called(command)
        words = trouble(result) or no_number(result, file.read_bytes())
        if seconds > SLOW:
            words = f"{seconds:.1f} s"
        if result and result.exit_code and place.exists():
            words = "a folder is left"
        if words:
            troubles.append(f"{name} {number}: {command[0]}: {words}")
        codes.append(result.exit_code if result else -1)
    return troubles, codes


def damaged(data: bytes, seed: int, number: int) -> bytes:
    """Damage ``number`` to ``data``: to its bytes, its numbers, or to what lies packed in it."""
    dice = Random(f"{seed}/{number}")
    way = dice.randrange(8)
    if way == 0:
        return data[: dice.randrange(len(data))]
    if way == 1:
        return data[dice.randrange(len(data)) :]
    if way == 2:
        for _ in range(dice.choice((1, 10, 1000))):
            at = dice.randrange(len(data))
            data = data[:at] + bytes([dice.randrange(256)]) + data[at + 1 :]
        return data
    if way == 3:
        at, more = dice.randrange(len(data)), dice.choice((1, 100, 5000))
        return data[:at] + data[at + more :]
    if way == 4:
        at, more = dice.randrange(len(data)), dice.choice((10, 500, 20000))
        return data[:at] + data[at : at + more] * 2 + data[at + more :]
    if way == 5:
        return _other_number(dice, data)
    if way == 6:
        return _other_word(dice, data)
    return _packed(dice, data)


def _other_number(dice: Random, data: bytes) -> bytes:
    """One number, or the same everywhere, for another."""
    found = list(NUMBER.finditer(data))
    if not found:
        return data[::-1]
    one, other = dice.choice(found), dice.choice(OTHERS)
    if dice.random() < 0.3:
        return data.replace(one[0], other, dice.choice((3, -1)))
    return data[: one.start()] + other + data[one.end() :]


def _other_word(dice: Random, data: bytes) -> bytes:
    """Two words change places."""
    found = list(re.finditer(rb"[A-Za-z/_-]{2,12}", data))
    if len(found) < 2:
        return data * 2
    one, other = sorted(dice.sample(found, 2), key=lambda match: match.start())
    return data[: one.start()] + other[0] + data[one.end() : other.start()] + one[0] + data[other.end() :]


def _packed(dice: Random, data: bytes) -> bytes:
    """The same to what is packed in a PDF; the lengths around it are left wrong, as they would be."""
    streams = list(STREAM.finditer(data))
    if not streams:
        return _other_number(dice, data)
    one = dice.choice(streams)
    try:
        plain = zlib.decompress(one[1])
    except zlib.error:
        plain = one[1]
    changed = _other_number(dice, plain) if dice.random() < 0.5 else plain[: dice.randrange(len(plain) + 1)]
    packed = zlib.compress(changed) if plain is not one[1] else changed
    return data[: one.start(1)] + packed + data[one.end(1) :]


def main_run(count: int, seed: int) -> int:
    troubles, codes = [], Counter[int]()
    with tempfile.TemporaryDirectory() as folder:
        for number in range(count):
            for name in sound():
                found, ended = hurt(name, seed, number, Path(folder))
                troubles += found
                codes.update(ended)
                print("".join(f"{words}\n" for words in found), end="", flush=True)
    print(f"{count} damages to each of {len(sound())} files: {dict(sorted(codes.items()))}; {len(troubles)} troubles")
    return 1 if troubles else 0


if __name__ == "__main__":
    sys.exit(main_run(*(int(word) for word in [*sys.argv[1:], "200", "2"][:2])))
