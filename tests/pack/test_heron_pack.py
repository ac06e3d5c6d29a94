"""The Heron's own pack, every file of it read by others: GDAL, the solid kernel, PDFium.

The same bytes whatever Python's hash seed; areas and holes as the parts have them; every solid of
the whole with its volume to a millionth; the printed ruler true to a thousandth.
"""

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from shapely import from_wkt
from shapely.geometry import Polygon

from barwright.job.load import load
from barwright.pack.folder import MANIFEST, checksum
from barwright.pack.names import file_name
from barwright.pack.twins import flat_polygon, for_cutting
from barwright.pack.write import make
from barwright.route import build

HERON = Path(__file__).parent.parent.parent / "examples" / "heron"

pytestmark = pytest.mark.study


@pytest.fixture(scope="module")
def heron():
    return build(load(HERON))


@pytest.fixture(scope="module")
def packed(tmp_path_factory):
    """The pack that the command writes, in a process of its own."""
    out = tmp_path_factory.mktemp("heron") / "pack"
    command = [sys.executable, "-m", "barwright.cli", "pack", str(HERON), "--out", str(out)]
    env = {**os.environ, "PYTHONHASHSEED": "4711"}
    subprocess.run(command, env=env, capture_output=True, check=True)
    return out


def test_the_same_bytes_in_another_process_with_other_hashes(heron, packed):
    assert os.environ.get("PYTHONHASHSEED") != "4711"
    there = {p.relative_to(packed).as_posix(): p for p in packed.rglob("*") if p.is_file()}
    mine = make(heron).files
    assert {*there} == {*mine}
    differ = [
        name for name, data in mine.items() if checksum(there[name].read_bytes()) != checksum(data)
    ]
    assert differ == []


def test_only_the_side_bars_are_made(heron, packed):
    lines = (packed / "lists" / "cut-list.csv").read_text("utf-8-sig").splitlines()[1:]
    assert [line.partition(",")[0] for line in lines] == ["upper", "upper-twin"]
    assert {b.name for b in heron.bars.bars if b.stands} == {*heron.job.bar} - {"upper"}
    assert len(json.loads((packed / MANIFEST).read_text())["bars"]) == len(heron.bars.bars) == 31


@pytest.mark.skipif(shutil.which("ogrinfo") is None, reason="ogrinfo is not here: gdal-bin")
def test_gdal_reads_every_part_s_area_and_holes(heron, packed):
    for part in heron.parts.parts:
        cuts = cut_rings(packed / "flat" / f"{file_name(part.name)}.dxf")
        meant = flat_polygon(for_cutting(part))
        *holes, outline = sorted(cuts, key=lambda r: r.area)
        assert len(holes) == len(meant.interiors) == len(for_cutting(part).holes), part.name
        assert outline.area == pytest.approx(Polygon(meant.exterior).area, rel=1e-4), part.name
        assert outline.area - sum(h.area for h in holes) == pytest.approx(meant.area, rel=1e-4)


def cut_rings(path):
    """The closed cuts of a drawing, as ogrinfo tells them."""
    command = ["ogrinfo", "-ro", "-al", "--config", "DXF_MAX_ARC_GAP", "0.001"]
    command += ["--config", "OGR_ARC_STEPSIZE", "0.5", str(path)]
    said = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    assert "ERROR" not in said
    found = []
    for feature in said.split("OGRFeature")[1:]:
        if re.search(r"Layer \(String\) = cut", feature):
            wkt = re.search(r"^\s+((?:LINESTRING|POLYGON).*)$", feature, re.MULTILINE)[1]
            shape = from_wkt(wkt)
            found.append(
                Polygon(shape.coords if shape.geom_type == "LineString" else shape.exterior)
            )
    return found


def test_every_solid_of_the_whole_reads_back_with_its_volume(heron, packed):
    pytest.importorskip("OCP", reason="the solid kernel is not here: pip install 'barwright[step]'")
    from OCP.STEPControl import STEPControl_Reader

    from barwright.pack import brep
    from barwright.pack.step import bar_solids, hardware_solids, plate_solids

    made = [*bar_solids(heron)[0], *plate_solids(heron)[0], *hardware_solids(heron)]
    reader = STEPControl_Reader()
    reader.ReadFile(str(packed / "step" / "whole.step"))
    reader.TransferRoots()
    back = brep.solids(reader.OneShape())
    assert len(back) == len(made)
    for one, again in zip(made, back, strict=True):
        assert brep.volume(again) == pytest.approx(brep.volume(one.solid), rel=1e-6), one.name


def test_a_bar_s_solid_weighs_what_its_copes_leave(heron):
    """The kernel's volume against the cope integrated round the tube: a template's cut, square to
    the wall, takes a little more than a saw does, so the solid is never lighter.
    """
    pytest.importorskip("OCP", reason="the solid kernel is not here: pip install 'barwright[step]'")
    from barwright.pack import brep
    from barwright.pack.step import bar_solids
    from barwright.tubes.section import STEEL

    for one in bar_solids(heron)[0]:
        bar = heron.bars.named(one.name)
        mass = brep.volume(one.solid) * STEEL
        assert bar.mass - 1e-4 <= mass <= bar.mass * 1.01, one.name


@pytest.mark.parametrize("name", ["templates/tube-ends.pdf", "templates/plates.pdf"])
def test_the_ruler_on_every_printed_page_is_true_to_a_thousandth(packed, name):
    pdfium = pytest.importorskip("pypdfium2", reason="PDFium is not here: pip install pypdfium2")
    dots = 20.0  # a millimetre
    for page in pdfium.PdfDocument((packed / name).read_bytes()):
        image = page.render(scale=dots * 25.4 / 72.0, grayscale=True).to_numpy()
        ink = 1.0 - np.asarray(image, dtype=float).squeeze() / 255.0
        row = ink[-int((10.0 + 9.5) * dots)]  # through the upper bar, 10 mm margin, 8.5 mm above it
        black = np.flatnonzero(row[: int(112.0 * dots)] > 0.5)
        line = black[black > black[-1] - 0.5 * dots]  # the last field's own edge, drawn as a line
        long = (line[0] + line[-1] + 1) / 2.0 - black[0]
        assert long / dots == pytest.approx(100.0, rel=1e-3)


def test_of_the_standing_frame_nothing_is_put_up_welded_or_doubted(heron):
    """Nor in the steps and seams of the build-up, nor in the chance that what is made fits."""
    stands = {b.name for b in heron.bars.bars if b.stands}
    assert len(stands) == 29
    steps = heron.buildup.steps
    assert not stands & {name for step in steps for name in step.adds}
    assert {"upper", "upper-twin"} <= {name for step in steps for name in step.adds}
    assert all({*seam.parts} - stands for seam in heron.buildup.seams)
    assert not stands & {part.name for part in heron.first_fit.parts}
