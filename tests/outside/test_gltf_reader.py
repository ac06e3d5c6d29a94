"""glTF 2.0 (Khronos) read by trimesh: names, metres, watertight solids of the right volume."""

import io
import json
import math
import struct

import numpy as np
import pytest
import trimesh
from made_up import BRACKET, CHEEK, POINTS, Hardware, build

from barwright.geometry.solids import Block, Body, Rod
from barwright.pack.glb import glb_bytes
from barwright.pack.mesh import plate_mesh, solid_mesh, tube_mesh
from barwright.plates.folded import folded_volume

BOLT = Hardware(
    name="side.hinge.bolt",
    what="bolt",
    dims=(),
    body=Body(
        name="side.hinge.bolt",
        solids=(Rod(start=(0.0, 430.0, 780.0), end=(0.0, 430.0, 840.0), radius=6.0),),
    ),
)


def welded(mesh):
    made = trimesh.Trimesh(mesh.points, mesh.corners, process=True)
    made.merge_vertices(merge_tex=True, merge_norm=True)
    return made


def test_every_thing_is_there_by_name_and_in_metres():
    the_build = build(hardware=(BOLT,))
    scene = trimesh.load(io.BytesIO(glb_bytes(the_build)), file_type="glb")
    wanted = {b.name for b in the_build.bars.bars} | {CHEEK.name, BRACKET.name, BOLT.name}
    assert set(scene.geometry) == wanted
    height = scene.bounds[1][1] - scene.bounds[0][1]  # y is up in glTF
    assert height == pytest.approx((POINTS["B"][2] - POINTS["A"][2]) / 1000.0, rel=1e-5)


def test_chunks_are_aligned_and_counted():
    data = glb_bytes(build())
    magic, version, size = struct.unpack("<4sII", data[:12])
    length, kind = struct.unpack("<I4s", data[12:20])
    said = json.loads(data[20 : 20 + length])
    assert (magic, version, size, kind) == (b"glTF", 2, len(data), b"JSON")
    assert length % 4 == 0
    assert said["animations"][0]["name"] == "open side"
    assert all(v["byteOffset"] % 4 == 0 for v in said["bufferViews"])


@pytest.mark.parametrize("name", ["brace", "upper", "post-rear"])
def test_a_tube_is_closed_and_weighs_what_it_should(name):
    bar = build().bars.named(name)
    mesh = welded(tube_mesh(bar))
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    steel = bar.mass / 7.85e-6
    sides = 36 / (2 * math.pi) * math.sin(2 * math.pi / 36)  # a 36-gon's share of its circle
    assert mesh.volume == pytest.approx(steel * sides, rel=3e-3)


@pytest.mark.parametrize("part", [CHEEK, BRACKET])
def test_a_plate_is_closed_and_has_its_volume(part):
    mesh = welded(plate_mesh(part))
    assert mesh.is_winding_consistent
    assert mesh.volume == pytest.approx(folded_volume(part), rel=2e-3)


def test_bought_things_are_closed():
    rod = welded(solid_mesh(BOLT.body.solids[0]))
    assert rod.is_watertight
    assert rod.volume == pytest.approx(math.pi * 36.0 * 60.0, rel=1e-2)
    cube = Block(
        corners=tuple((x, y, z) for x in (0.0, 2.0) for y in (0.0, 3.0) for z in (0.0, 4.0))
    )
    assert welded(solid_mesh(cube)).volume == pytest.approx(24.0)


def test_normals_point_outward():
    mesh = tube_mesh(build().bars.named("post-rear"))
    a, b, c = (mesh.points[mesh.corners[:, k]] for k in range(3))
    faces = np.cross(b - a, c - a)
    assert (np.einsum("ij,ij->i", faces, mesh.normals[mesh.corners[:, 0]]) > 0).all()
