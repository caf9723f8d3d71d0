"""Lets these tests draw the specimen sheets that stand beside the tests of sheets."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.append(str(Path(__file__).resolve().parents[1] / "sheets"))
