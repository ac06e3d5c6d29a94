"""A traced template as DXF, SVG and plain data, read back by other programs."""

import io
import xml.etree.ElementTree as ET

import ezdxf
import pytest

from barwright.job.errors import BadInput
from barwright.pack.dxf import dxf_bytes
from barwright.pack.svg import svg_text
from barwright.pack.template_files import as_json, drawing, summary, trace_to
from barwright.survey.template_types import Drawn, Outline, Template, View


def outline(*vertices):
    n = len(vertices)
    return Outline(
        vertices=vertices, rms=(0.03,) * n, worst=(0.08,) * n, points=(50,) * n, sd=(0.01,) * n
    )


TEMPLATE = Template(
    outline=outline((0, 0, 0), (100, 0, 0.4142), (110, 10, 0), (110, 60, 0), (0, 60, 0)),
    holes=(outline((20, 30, 1.0), (32, 30, 1.0)), outline((60, 20, 0), (70, 20, 0), (65, 30, 0))),
    lines=(Drawn(name="fold", a=(0, 45), b=(110, 45), sd=0.05, found=True),),
    tolerance=0.25,
    thickness=3.0,
    edge_sd=0.05,
    scale_sd=0.001,
    view=View(focal=2000, k1=0, k2=0, height=500, height_sd=5, tilt=0.2, markers=60, rms=0.1,
              blur=1.0, pixel=0.25),
    notes=("Look at the corner.",),
)  # fmt: skip


def test_the_dxf_holds_a_loop_a_circle_and_the_line():
    text = dxf_bytes(drawing(TEMPLATE)).decode().replace("\r\n", "\n")
    document = ezdxf.read(io.StringIO(text))
    kinds = [(e.dxftype(), e.dxf.layer) for e in document.modelspace()]
    assert kinds == [
        ("LWPOLYLINE", "cut"), ("CIRCLE", "cut"), ("LWPOLYLINE", "cut"), ("LINE", "etch")
    ]  # fmt: skip
    assert document.units == ezdxf.units.MM
    (circle,) = document.modelspace().query("CIRCLE")
    assert (circle.dxf.radius, circle.dxf.center.x, circle.dxf.center.y) == (6.0, 26.0, 30.0)
    assert not document.audit().errors


def test_the_svg_is_in_true_size():
    root = ET.fromstring(svg_text(drawing(TEMPLATE)))  # noqa: S314 - our own text
    assert root.attrib["width"] == "120mm"
    assert root.attrib["height"] == "70mm"


def test_the_doubt_is_told_in_words_and_numbers():
    lines = summary(TEMPLATE)
    assert "±0.05 mm" in lines[1]
    assert "±0.10 %" in lines[1]
    assert lines[-1] == "Look at the corner."
    assert as_json(TEMPLATE)["view"]["tilt"] == pytest.approx(11.459, abs=0.001)


def test_a_photo_that_is_not_there_is_told_and_nothing_written(tmp_path):
    with pytest.raises(BadInput) as told:
        trace_to(tmp_path / "no.jpg", tmp_path / "out", board_name="a3", thickness=3.0)
    assert told.value.faults[0].file == "no.jpg"
    assert not (tmp_path / "out").exists()
