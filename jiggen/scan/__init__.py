"""A flatbed scan of a printed page turned into what the printer did to it, and how far each mark is from its plan.

Needs opencv-python-headless and numpy: ``pip install "jiggen[scan]"``.
"""
