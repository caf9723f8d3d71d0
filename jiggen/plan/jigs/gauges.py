"""A board and a rule set turned into what a shop measures with: a comb for fit and kerf, discs that must not pass."""

from __future__ import annotations

from jiggen.geometry import Point
from jiggen.handbook.rules import RuleSet
from jiggen.job.model import JigWish
from jiggen.plan.jigs.labels import line
from jiggen.plan.jigs.model import FIT, Label, Part
from jiggen.plan.jigs.shapes import rectangle
from jiggen.units import System, tape

STEPS = (-0.3, -0.2, -0.1, 0.0, 0.1, 0.2, 0.3)  # of the board's thickness, mm
KERFS = (0.0, 0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.4)  # mm, for a beam; a router's comb goes round its own kerf
NOMINAL = 16.0  # tab and window of the kerf comb, mm
PITCH = 24.0


def comb(wish: JigWish, fingerprint: str = "") -> tuple[Part, ...]:
    """Three boards: slots by thickness (open at the edge), and windows and tabs by kerf.

    The slot that the board slides into with light pressure names the thickness for the job, its width is that
    and the fit. The tab drawn for the kerf K is NOMINAL + K wide before the cut, the window NOMINAL - K: where
    tab and window of one number slide without play, that number is the kerf.
    """
    return _slots(wish, fingerprint), *_kerf(wish, fingerprint)


def graded(wish: JigWish) -> tuple[float, ...]:
    """The thicknesses on the comb, mm."""
    return tuple(round(wish.thickness + step, 2) for step in STEPS if wish.thickness + step > 0.2)


def graded_kerfs(wish: JigWish) -> tuple[float, ...]:
    """The kerfs on the comb, mm."""
    if wish.kerf <= 0.45:
        return KERFS
    return tuple(round(wish.kerf + step, 2) for step in (-0.3, -0.2, -0.1, 0.0, 0.1, 0.2, 0.3))


def _slots(wish: JigWish, fingerprint: str) -> Part:
    sizes, pitch = graded(wish), max(16.0, 2.2 * wish.thickness)
    width, height, deep = pitch * len(sizes) + 8.0, 44.0, 18.0
    upper: list[Point] = []
    labels = []
    for i in reversed(range(len(sizes))):
        x, half = 4.0 + (i + 0.5) * pitch, (sizes[i] + FIT) / 2.0
        upper += [Point(x + half, height), Point(x + half, height - deep), Point(x - half, height - deep)]
        upper.append(Point(x - half, height))
        labels.append(Label(Point(x, height - deep - 6.0), f"{sizes[i]:.2f}", 3.0, "middle"))
    outline = (Point(0.0, 0.0), Point(width, 0.0), Point(width, height), *upper, Point(0.0, height))
    words = (
        *line(Point(width / 2.0, 10.0), "BOARD SLIDES IN: WRITE [jig] thickness", width - 8.0, 3.0),
        *line(
            Point(width / 2.0, 4.0), f"NUMBERS IN mm; FIT {FIT:g} mm IS IN THE SLOT  {fingerprint}", width - 8.0, 3.0
        ),
    )
    return Part("comb/1", "comb for the board", outline, wish.thickness, labels=(*labels, *words))


def _kerf(wish: JigWish, fingerprint: str) -> tuple[Part, Part]:
    kerfs = graded_kerfs(wish)
    width, deep = PITCH * len(kerfs) + 4.0, 8.0
    windows, upper, labels, tab_labels = [], [], [], []
    for i, k in enumerate(kerfs):
        x = 2.0 + (i + 0.5) * PITCH
        half = (NOMINAL - k) / 2.0
        windows.append(rectangle(x - half, 8.0, x + half, 8.0 + deep + 4.0))
        labels.append(Label(Point(x, 22.5), f"{k:.2f}", 3.0, "middle"))
        tab_labels.append(Label(Point(x, 17.5), f"{k:.2f}", 3.0, "middle"))
    for i in reversed(range(len(kerfs))):
        x, half = 2.0 + (i + 0.5) * PITCH, (NOMINAL + kerfs[i]) / 2.0
        upper += [
            Point(x + half, 24.0),
            Point(x + half, 24.0 + deep),
            Point(x - half, 24.0 + deep),
            Point(x - half, 24.0),
        ]
    plate = rectangle(0.0, 0.0, width, 36.0)
    words = line(
        Point(width / 2.0, 29.5),
        "TAB AND WINDOW OF ONE NUMBER SLIDE WITHOUT PLAY: WRITE [jig] kerf, IN mm",
        width - 6.0,
        3.0,
    )
    first = Part(
        "comb/2", "windows for the kerf", plate, wish.thickness, tuple(windows), labels=(*labels, *words), raw=True
    )
    outline = (Point(0.0, 0.0), Point(width, 0.0), Point(width, 24.0), *upper, Point(0.0, 24.0))
    said = line(Point(width / 2.0, 6.0), f"TABS DRAWN FOR THE KERF IN mm  {fingerprint}", width - 6.0, 3.0)
    second = Part("comb/3", "tabs for the kerf", outline, wish.thickness, labels=(*tab_labels, *said), raw=True)
    return first, second


def discs(rules: RuleSet, wish: JigWish, units: System = "mm") -> tuple[Part, ...]:
    """A disc of each sphere of the rule set and of the triangle: what passes an opening is wrong there."""
    sizes: dict[float, list[tuple[str, str]]] = {}
    for zone in rules.zones:
        sizes.setdefault(round(zone.sphere, 4), []).append(
            (_zone_words(zone.where, zone.above, zone.below, units), zone.clause)
        )
    if rules.triangle:
        sizes.setdefault(round(rules.triangle, 4), []).append(("TRIANGLE ON A STAIR", rules.triangle_clause))
    return tuple(
        _disc(number, diameter, told, wish, units) for number, (diameter, told) in enumerate(sorted(sizes.items()), 1)
    )


def _zone_words(where: str, above: float, below: float, units: System) -> str:
    place = {"level": "LEVEL GUARD", "stair": "STAIR GUARD"}.get(where, "ANY GUARD")
    if above > 0.0 and below < 1e5:
        return f"{place} {_up(above, units)} TO {_up(below, units)} UP"
    if above > 0.0:
        return f"{place} ABOVE {_up(above, units)}"
    return f"{place} UP TO {_up(below, units)}" if below < 1e5 else place


def _up(mm: float, units: System) -> str:
    return f"{mm:.0f} mm" if units == "mm" else f"{tape(mm).text} in"


def _disc(number: int, diameter: float, told: list[tuple[str, str]], wish: JigWish, units: System) -> Part:
    said = f"{diameter:.2f} mm" if units == "mm" else f"{tape(diameter).told} in ({diameter:.2f} mm)"
    words = [said, "MUST NOT PASS"]
    for zone, clause in told:
        words += [zone, clause]
    pitch, half = 6.0, diameter / 2.0
    y = (len(words) - 1) * pitch / 2.0 - 1.5
    labels: list[Label] = []
    for text in words:
        reach = max(abs(y), abs(y + 3.5))
        room = 2.0 * max(half * half - reach * reach, 0.0) ** 0.5 - 6.0
        labels += line(Point(0.0, y), text, room, 3.5)
        y -= pitch
    return Part(
        f"discs/{number}",
        f"disc {diameter:.1f} mm" if units == "mm" else f"disc {tape(diameter).told} in",
        (),
        wish.thickness,
        labels=tuple(labels),
        disc=diameter,
    )
