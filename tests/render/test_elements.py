"""Elements as text: what a stranger's parser makes of it is what was given."""

from __future__ import annotations

from xml.etree import ElementTree

from jiggen.render.elements import Element, xml


def test_attributes_stand_in_order_and_empty_ones_are_left_out() -> None:
    made = Element("g", {"stroke": "none", "id": "a", "role": "", "r": 0, "x": 1.5})
    assert xml(made) == b'<?xml version="1.0" encoding="utf-8"?>\n<g id="a" r="0" stroke="none" x="1.5" />\n'


def test_text_stands_before_what_was_added() -> None:
    made = Element("svg", text="1 < 2 & 3")
    made.add(Element("title", text="x"))
    made.add(Element("defs"))
    assert xml(made).splitlines()[1] == b"<svg>1 &lt; 2 &amp; 3<title>x</title><defs /></svg>"


def test_any_character_comes_back() -> None:
    words = "a\tb\nc\rd <&> \" ' é ☃ \U0001f529"
    made = Element("g", {"data-text": words})
    made.add(Element("title", text=words))
    read = ElementTree.fromstring(xml(made))
    assert read.attrib == {"data-text": words}
    assert read[0].text == words.replace("\r", "\n")  # as XML 1.0, 2.11, has line ends read
