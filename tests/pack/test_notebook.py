"""A picture for notebooks: one well-formed SVG, with the leaf where it is asked to be."""

from pathlib import Path
from xml.etree import ElementTree as ET

import barwright as bw

GATE = Path(__file__).parents[2] / "examples" / "gate"


def test_a_notebook_shows_the_whole():
    build = bw.build(bw.load(GATE))
    shut, wide = bw.show(build), bw.show(build, opened=1.0, names=True)
    for shown in (shut, wide):
        root = ET.fromstring(shown._repr_svg_())  # noqa: S314 - our own
        assert root.tag.endswith("svg")
        assert len(list(root.iter())) > 100
    assert shut.svg != wide.svg
    assert ">H<" in wide.svg
    assert ">H<" not in shut.svg
