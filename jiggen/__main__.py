"""``python -m jiggen``."""

from jiggen.cli import main

main(prog_name="jiggen")
