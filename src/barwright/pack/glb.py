"""The whole as a binary glTF 2.0 file for viewing: names, colours, and leaves that open.

Khronos glTF 2.0 specification: metres, y up; one binary chunk. Written by hand: a few hundred
bytes of JSON and the triangles.
"""

from __future__ import annotations

import json
import math
import struct
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from barwright import __version__
from barwright.pack.mesh import Mesh, joined, plate_mesh, solid_mesh, tube_mesh
from barwright.pack.scene import HARDWARE, PLATE, colour_of_bar, leaf_of_bar
from barwright.pack.twins import as_cut
from barwright.swing.motion import Motion

if TYPE_CHECKING:
    from barwright.route import Build

FLOAT, INDEX = 5126, 5125
VERTICES, INDICES = 34962, 34963
SECONDS = 3.0
"""How long a leaf takes to open in the animation."""


def glb_bytes(build: Build) -> bytes:
    """Every bar, plate and bought thing, each a node with its name; every leaf opens and shuts."""
    file = _File()
    nodes: dict[str, list[int]] = {}
    for name, leaf, colour, mesh in _things(build):
        nodes.setdefault(leaf, []).append(file.thing(name, colour, mesh))
    movers = [file.leaf(m, nodes[m.leaf]) for m in build.motions if m.leaf in nodes]
    top = [*nodes.get("", []), *movers]
    half = math.sqrt(0.5)
    root = file.add(
        "nodes",
        {
            "name": build.job.job.name or "whole",
            "rotation": [-half, 0.0, 0.0, half],
            "scale": [0.001] * 3,
            "children": top,
        },
    )
    return file.written(root)


def _things(build: Build) -> Iterator[tuple[str, str, str, Mesh]]:
    """Name, leaf, colour and mesh of everything there is."""
    for bar in build.bars.bars:
        leaf = leaf_of_bar(build, bar.name)
        yield bar.name, leaf, colour_of_bar(build, bar.name), tube_mesh(bar)
    for part in build.parts.parts:
        yield part.name, part.rides, PLATE, plate_mesh(as_cut(part))
    for item in build.parts.hardware:
        if item.body.solids:
            yield item.name, item.rides, HARDWARE, joined(solid_mesh(s) for s in item.body.solids)


@dataclass
class _File:
    """A glTF being put together."""

    said: dict[str, list[Any]] = field(default_factory=dict)
    data: bytearray = field(default_factory=bytearray)
    paints: dict[str, int] = field(default_factory=dict)

    def add(self, kind: str, entry: dict[str, Any]) -> int:
        """Append an entry; its number."""
        self.said.setdefault(kind, []).append(entry)
        return len(self.said[kind]) - 1

    def numbers(self, values: Any, kind: str, component: int, target: int | None) -> int:  # noqa: ANN401 - any array
        """Append numbers to the binary chunk; their accessor's number."""
        array = np.ascontiguousarray(values, dtype="<u4" if component == INDEX else "<f4")
        view: dict[str, Any] = {
            "buffer": 0,
            "byteOffset": len(self.data),
            "byteLength": array.nbytes,
        }
        if target:
            view["target"] = target
        self.data += array.tobytes()
        entry: dict[str, Any] = {
            "bufferView": self.add("bufferViews", view),
            "componentType": component,
            "count": len(array.reshape(-1)) if kind == "SCALAR" else len(array),
            "type": kind,
        }
        if kind == "VEC3" or target is None:
            flat = array.reshape(entry["count"], -1)
            entry |= {
                "min": [float(v) for v in flat.min(axis=0)],
                "max": [float(v) for v in flat.max(axis=0)],
            }
        return self.add("accessors", entry)

    def paint(self, colour: str) -> int:
        """The material of a colour; glTF wants it linear, not as a screen shows it."""
        if colour not in self.paints:
            parts = [int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5)]
            linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
            metal = {
                "baseColorFactor": [*(round(c, 6) for c in linear), 1.0],
                "metallicFactor": 0.1,
                "roughnessFactor": 0.6,
            }
            self.paints[colour] = self.add("materials", {"pbrMetallicRoughness": metal})
        return self.paints[colour]

    def thing(self, name: str, colour: str, mesh: Mesh) -> int:
        """A node with a mesh of its own."""
        primitive = {
            "attributes": {
                "POSITION": self.numbers(mesh.points, "VEC3", FLOAT, VERTICES),
                "NORMAL": self.numbers(mesh.normals, "VEC3", FLOAT, VERTICES),
            },
            "indices": self.numbers(mesh.corners.reshape(-1), "SCALAR", INDEX, INDICES),
            "material": self.paint(colour),
        }
        return self.add(
            "nodes",
            {"name": name, "mesh": self.add("meshes", {"name": name, "primitives": [primitive]})},
        )

    def leaf(self, motion: Motion, children: list[int]) -> int:
        """A node that turns about the hinge, and the animation that opens and shuts it."""
        back = self.add(
            "nodes", {"translation": [-float(v) for v in motion.through], "children": children}
        )
        node = self.add(
            "nodes",
            {
                "name": f"leaf {motion.leaf}",
                "translation": [float(v) for v in motion.through],
                "children": [back],
            },
        )
        self._opening(motion, node)
        return node

    def _opening(self, motion: Motion, node: int) -> None:
        shares = [0.0, 0.5, 1.0, 0.5, 0.0]
        turns = [motion.opens * share / 2.0 for share in shares]
        quaternions = [[*(math.sin(t) * np.array(motion.along)), math.cos(t)] for t in turns]
        times = [SECONDS * k / 2.0 for k in range(len(shares))]
        sampler = {
            "input": self.numbers(times, "SCALAR", FLOAT, None),
            "output": self.numbers(quaternions, "VEC4", FLOAT, None),
        }
        channel = {"sampler": 0, "target": {"node": node, "path": "rotation"}}
        self.add(
            "animations",
            {"name": f"open {motion.leaf}", "samplers": [sampler], "channels": [channel]},
        )

    def written(self, root: int) -> bytes:
        """The file: header, JSON chunk, binary chunk."""
        whole = {
            "asset": {"version": "2.0", "generator": f"Barwright {__version__}"},
            "scene": 0,
            "scenes": [{"nodes": [root]}],
            **self.said,
            "buffers": [{"byteLength": len(self.data)}],
        }
        text = json.dumps(whole, separators=(",", ":")).encode()
        text += b" " * (-len(text) % 4)
        body = bytes(self.data) + b"\0" * (-len(self.data) % 4)
        size = 12 + 8 + len(text) + 8 + len(body)
        return b"".join(
            [
                struct.pack("<4sII", b"glTF", 2, size),
                struct.pack("<I4s", len(text), b"JSON"),
                text,
                struct.pack("<I4s", len(body), b"BIN\0"),
                body,
            ]
        )
