"""Files that were written, measured by a stranger: bytes to circles and lines in millimetres.

``jiggen.readback.svg.read_svg`` and ``jiggen.readback.pdf.read_pdf`` both return a
``jiggen.readback.model.Found``. Nothing here knows how the files are made.
"""
