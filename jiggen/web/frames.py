"""Messages between the page's server and its working processes: a line of sizes, a JSON head, a body of bytes."""

from __future__ import annotations

import json
from typing import Any, BinaryIO

LARGEST_HEAD = 64 * 1024 * 1024
LARGEST_BODY = 512 * 1024 * 1024


def pack(head: dict[str, Any], body: bytes = b"") -> bytes:
    """One message as bytes."""
    text = json.dumps(head).encode()
    return b"%d %d\n%b%b" % (len(text), len(body), text, body)


def sizes(line: bytes) -> tuple[int, int]:
    """The sizes of head and body from a message's first line. Raises ValueError for anything else."""
    head, body = (int(part) for part in line.split())
    if not (0 <= head <= LARGEST_HEAD and 0 <= body <= LARGEST_BODY):
        raise ValueError("a message without sense")
    return head, body


def unpack(pipe: BinaryIO) -> tuple[dict[str, Any], bytes] | None:
    """The next message of ``pipe``, None at its end. Raises ValueError for anything else."""
    line = pipe.readline()
    if not line:
        return None
    head, body = sizes(line)
    return json.loads(pipe.read(head)), pipe.read(body)
