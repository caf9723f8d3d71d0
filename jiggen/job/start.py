"""A choice of inch or metric turned into a commented job file to begin from."""

from __future__ import annotations

# placeholder: what an inch job says, what a metric one says
SIZES: dict[str, tuple[str, str]] = {
    "UNITS": ("in", "mm"),
    "CODE": ("irc-2021", "nbc-2020"),
    "FALL": ("6 ft 2 in", "1.88 m"),
    "ROUND": ("1/16 in", "0.5 mm"),
    "DRILLS": ('["fraction", "number"]', '["metric"]'),
    "DIAMETER": ("1/8 in", "3.2 mm"),
    "TENSION": ("225 lbf", "1000 N"),
    "INSTALL": ("65 degF", "18 degC"),
    "COLDEST": ("-5 degF", "-20 degC"),
    "HOTTEST": ("110 degF", "43 degC"),
    "WEIGHT": ("11 lb", "5 kg"),
    "SPOOLS": ('["100 ft", "250 ft"]', '["30 m", "75 m"]'),
    "HEIGHT": ("36 in", "1070 mm"),
    "DEPTH": ("1 1/2 in", "38 mm"),
    "WIDTH": ("3 1/2 in", "89 mm"),
    "BOTTOM": ("2 in", "38 mm"),
    "SPACING": ("3 in", "75 mm"),
    "BRACKET": ("side plate", "metric side plate"),
    "LINE": ("3 1/2 in", "89 mm"),
    "END": ("5 1/2 in", "140 mm"),
    "OUTLINE": ('["1 1/2 in", "3 in"]', '["38 mm", "68 mm"]'),
    "FLANGE": ("3/16 in", "5 mm"),
    "SCREWS": ('[["0 in", "1 in"], ["0 in", "-1 in"]]', '[["0 mm", "24 mm"], ["0 mm", "-24 mm"]]'),
    "SCREW": ("#14 x 2 1/2 in", "6 x 60 mm"),
    "PIVOT": ("7/8 in", "22 mm"),
    "SETBACK": ("3 in", "76 mm"),
    "TRAVEL": ("1 3/8 in", "35 mm"),
    "TURN": ("1/12 in", "2 mm"),
    "FRONT": ('["44 in", "44 in", "38 1/2 in"]', '["1120 mm", "1120 mm", "980 mm"]'),
    "SIDE": ('["41 in"]', '["1040 mm"]'),
    "STEPS": ('["42 in", "42 in"]', '["1065 mm", "1065 mm"]'),
    "RISE": ("7 in", "178 mm"),
    "GOING": ("11 in", "280 mm"),
    "NOSE": ("1 in", "25 mm"),
    "BEHIND": ("5 in", "125 mm"),
    "LOWEST": ("1/2 in", "12 mm"),
    "PAPER": ("letter", "a4"),
    "MARGIN": ("1/2 in", "12.7 mm"),
    "OVERLAP": ("3/8 in", "9.5 mm"),
}

COMMENTS = 36  # column

TEMPLATE = """\
# A job for jiggen: one guard, from the posts that stand there to the holes that go into them.
# Change what differs on your deck, take out what you do not need: most keys have a default.
# A length is written as it is said: "3 1/8 in", "5 ft 4 in", "1067 mm", "1.067 m".
# A bare number is in [job] units.

[job]
name = "Heron Cottage porch"  # printed on every sheet
units = "<UNITS>"  # in or mm: tape readings and bare numbers
code = "<CODE>"  # judged by: irc-2021, ibc-2021, abcb-2022, adk-2013, nbc-2020
fall = "<FALL>"  # from the deck down to what is below it
round_to = "<ROUND>"  # tape readings to this; the sheets stay exact
drills = <DRILLS>  # sets that you carry: fraction, number, letter, metric

[cable]
diameter = "<DIAMETER>"
strand = "1x19"  # strands x wires: 1x19, 7x7 or 7x19
tension = "<TENSION>"  # what each cable is pulled to
install_temperature = "<INSTALL>"  # the cable's on the day you pull it
coldest = "<COLDEST>"
hottest = "<HOTTEST>"
frame = "wood"  # what posts and rails are of: wood, steel or aluminium
hang_weight = "<WEIGHT>"  # what you will hang on a cable to test its pull
spools = <SPOOLS>  # lengths that you can buy

[guard]  # for every run; a run may say any of these keys for itself
height = "<HEIGHT>"  # top of the top rail over the deck, or over the stair's nosings
deck = "left"  # where people stand, walking from a run's first post to its last
rail = { depth = "<DEPTH>", width = "<WIDTH>", sits = "between" }  # between the posts, or over them
bottom_rail = { depth = "<DEPTH>" }  # take the line out where there is none
bottom_gap = "<BOTTOM>"  # from the deck up to the bottom rail, or to the lowest cable
spacing = "<SPACING>"  # cable centre to centre; left out: the widest that passes
bracket = "<BRACKET>"  # holds the rails' ends; a generic one, measure yours

[posts]  # which kind of post stands where
line = "slim"  # the cables pass through
end = "stout"  # the cables end; corners too, unless corner = says otherwise

[post.slim]
shape = "square"  # square or octagon: width. rectangular: along, across. round: diameter
width = "<LINE>"  # measured, not the lumber yard's name; or size = "4x4"
material = "western red cedar"

[post.stout]
shape = "square"
width = "<END>"
material = "douglas fir"

# An end fitting: measure the one in your hand, screwed open as far as you will start with.
#
#      face
#       |  _
#       |_| |               outline: the flange's size, across and up
#       |s| |__    pivot    screws:  s, across and up from the flange's centre
#       |_|  __(o)=======>-----------   cable
#       |s| |   :       :
#       |_|_|   :       :   flange:  how thick the plate is
#       |       :       :
#       |<----->:       :   pivot:   from the face to the pin
#       |<------------->:   setback: from the face to where the cable ends inside
#
[fitting.tensioner]
outline = <OUTLINE>
flange = "<FLANGE>"
screws = <SCREWS>
screw = "<SCREW>"
pivot = "<PIVOT>"  # leave out for a rigid one
swivels = "up-down"  # or any
setback = "<SETBACK>"
travel = "<TRAVEL>"  # how much cable it can take up
takes_up = "<TURN>"  # in one full turn

[[run]]  # the front: a straight row of posts, named as you like
id = "front"
posts = ["1", "2", "3", "4"]
spans = <FRONT>  # post centre to post centre, level; or clear = between the posts
start = "fixed plate"  # fitting at the first post; a generic one, measure yours
finish = "tensioner"  # and at the last

[[run]]  # round the corner; post 4 is shared
id = "side"
posts = ["4", "5"]
spans = <SIDE>
turn = "left 90 deg"  # from where the last run was heading
# led_on = true, and no fitting at post 4: the cables of the front go on round it
finish = "tensioner"  # start left out: fixed plate

[[run]]  # down the steps; spans are level here too, slope = is along the rake
id = "steps"
posts = ["5", "6", "7"]
spans = <STEPS>
bottom_gap = "<LOWEST>"  # over the line through the nosings
finish = "tensioner"

# Steps taped one by one: rises = [...] and goings = [...], lowest first, instead of rise and going.
[run.stair]  # of the run above; or [run.ramp] with slope = "1 in 12" and goes
rise = "<RISE>"  # height of one step
going = "<GOING>"  # its level depth, nosing to nosing
overhang = "<NOSE>"  # how far a nosing stands out over the riser below
goes = "down"  # up or down, walking from the first post to the last
first_behind_nosing = "<BEHIND>"  # level, from the first post's centre to the nosing next downhill

[sheet]
paper = "<PAPER>"  # letter, legal, tabloid, a4, a3, or [width, height]
margin = "<MARGIN>"  # what your printer cannot reach
overlap = "<OVERLAP>"  # of pages that are taped together
kind = "face"  # one face a sheet; wrap: round the post
datum = "underside"  # seated under the rail; or height line, or deck
"""


def start(metric: bool) -> str:
    """The text of a job file to begin from: a small deck with a corner and a stair, each key explained.

    ``metric``: in millimetres and newtons, else in inches and pounds. It reads without a problem.
    """
    text = TEMPLATE
    for name, sizes in SIZES.items():
        text = text.replace(f"<{name}>", sizes[metric])
    return "".join(f"{_aligned(line)}\n" for line in text.splitlines())


def _aligned(line: str) -> str:
    """``line`` with the comment behind its key in one column with the others."""
    code, mark, comment = line.partition("  # ")
    return f"{code:<{COMMENTS}}  # {comment}" if mark and not code.startswith("#") else line
