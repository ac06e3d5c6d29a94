"""What the view draws: triangles of everything, in one small binary file."""

from __future__ import annotations

import json
import struct
from collections.abc import Iterator
from functools import lru_cache
from typing import Any

import numpy as np

from barwright.geometry.solids import Body
from barwright.pack.mesh import Mesh, joined, plate_mesh, solid_mesh, tube_mesh
from barwright.pack.twins import as_cut
from barwright.plates.part import Part
from barwright.route import Build
from barwright.tubes.bars import BuiltBar


def scene(build: Build) -> bytes:
    """A header in JSON, then points (float32), normals (int8 × 4) and corners (uint32).

    Layout, little endian: length of the header (uint32), header padded with blanks to 4 bytes,
    all points, all normals, all corners. The header lists the things in order with how many
    points and corners each has; corners count from the thing's own first point.
    """
    things, meshes = list[dict[str, Any]](), list[Mesh]()
    for name, kind, leaf, mesh in _things(build):
        things.append({"name": name, "kind": kind, "leaf": leaf} | _counts(mesh))
        meshes.append(mesh)
    header = json.dumps({"things": things}, separators=(",", ":")).encode()
    header += b" " * (-len(header) % 4)
    parts = [struct.pack("<I", len(header)), header]
    parts += [np.asarray(m.points, dtype="<f4").tobytes() for m in meshes]
    parts += [_packed(m) for m in meshes]
    parts += [np.asarray(m.corners, dtype="<u4").tobytes() for m in meshes]
    return b"".join(parts)


def _counts(mesh: Mesh) -> dict[str, int]:
    return {"points": len(mesh.points), "corners": 3 * len(mesh.corners)}


def _packed(mesh: Mesh) -> bytes:
    """Normals as bytes, a fourth one to keep them aligned."""
    rows = np.zeros((len(mesh.normals), 4), dtype=np.int8)
    rows[:, :3] = np.round(mesh.normals * 127.0)
    return rows.tobytes()


def _things(build: Build) -> Iterator[tuple[str, str, str, Mesh]]:
    """Name, kind, leaf and triangles of everything there is."""
    leaf_of = {name: m.leaf for m in build.motions for name in m.bars}
    for bar in build.bars.bars:
        if bar.centreline.pieces:
            yield bar.name, "bar", leaf_of.get(bar.name, ""), _tube(bar)
    for part in build.parts.parts:
        yield part.name, "plate", part.rides, _plate(part)
    for item in build.parts.hardware:
        if item.body.solids:
            yield item.name, "hardware", item.rides, _bought(item.body)


@lru_cache(1024)
def _tube(bar: BuiltBar) -> Mesh:
    return tube_mesh(bar)


@lru_cache(1024)
def _plate(part: Part) -> Mesh:
    return plate_mesh(as_cut(part))


@lru_cache(1024)
def _bought(body: Body) -> Mesh:
    return joined(solid_mesh(s) for s in body.solids)
