"""GDAL's ogrinfo (Debian package gdal-bin), a DXF reader of another house: areas and holes."""

import math
import re
import shutil
import subprocess

import pytest
from made_up import BRACKET, CHEEK
from shapely import from_wkt
from shapely.geometry import Polygon

from barwright.pack.dxf import dxf_bytes
from barwright.pack.outlines import flat_drawing

pytestmark = pytest.mark.skipif(
    shutil.which("ogrinfo") is None, reason="ogrinfo is not here: apt install gdal-bin"
)


def as_gdal_reads(part, folder):
    """layer -> shapes, from the file written for a part."""
    path = folder / "part.dxf"
    path.write_bytes(dxf_bytes(flat_drawing(part)))
    command = ["ogrinfo", "-ro", "-al", "--config", "DXF_MAX_ARC_GAP", "0.001"]
    command += ["--config", "OGR_ARC_STEPSIZE", "0.5", str(path)]
    said = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    assert "ERROR" not in said
    found = {}
    for feature in said.split("OGRFeature")[1:]:
        layer = re.search(r"Layer \(String\) = (\S+)", feature)[1]
        wkt = re.search(r"^\s+((?:LINESTRING|POLYGON|POINT|MULTI\w+).*)$", feature, re.MULTILINE)[1]
        found.setdefault(layer, []).append(from_wkt(wkt))
    return found


def rings(shapes):
    return [Polygon(s.coords if s.geom_type == "LineString" else s.exterior.coords) for s in shapes]


def test_a_flat_part_has_the_same_area_and_holes(tmp_path):
    found = rings(as_gdal_reads(CHEEK, tmp_path)["cut"])
    *holes, outline = found
    assert len(holes) == len(CHEEK.holes)
    assert sorted(h.area for h in holes) == pytest.approx(
        [math.pi * 4.0**2, math.pi * 9.5**2], rel=1e-4
    )
    # a rectangle less the four corners' squares, plus one full circle of that radius
    assert outline.area == pytest.approx(90 * 60 - 4 * 12**2 + math.pi * 12**2, rel=1e-5)
    assert all(outline.contains(hole) for hole in holes)


def test_bend_lines_and_their_calls_are_on_their_own_layers(tmp_path):
    found = as_gdal_reads(BRACKET, tmp_path)
    assert [line.length for line in found["bend"]] == pytest.approx([80.0, 80.0])
    assert len(found["cut"]) == 2
    assert len(found["etch"]) == 2
