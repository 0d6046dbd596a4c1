"""The frame as a model to turn around: binary glTF 2.0 (ISO/IEC 12113), in metres, y up.

One box of unit size serves every part: a node places and stretches it. Parts are grouped by carried piece.
"""

from __future__ import annotations

import json
import struct
from itertools import product
from typing import Any, Final

from sawbill.drawings.subject import Subject
from sawbill.trade.boxes import Box
from sawbill.trade.lengths import METRE

WOOD: Final = (0.8, 0.66, 0.47, 1.0)
"""Colour of the parts."""
_FLOAT: Final = 5126
_SHORT: Final = 5123


def glb(subject: Subject) -> bytes:
    """The model as a file of its own. Each part's node is called by its letter and its key, as in the cut list."""
    nodes: list[dict[str, Any]] = [{"name": subject.title, "children": []}]
    for piece in subject.pieces:
        nodes[0]["children"].append(len(nodes))
        first = len(nodes) + 1
        nodes.append({"name": piece.name, "children": list(range(first, first + len(piece.parts)))})
        nodes += [_node(f"{subject.labels[key]} {key}", subject.frame.boxes[key]) for key in piece.parts]
    points, normals, corners = _unit_box()
    data = struct.pack(f"<{len(points)}f{len(normals)}f{len(corners)}H", *points, *normals, *corners)
    floats = 4 * len(points)
    scene = {
        "asset": {"version": "2.0", "generator": "Sawbill"},
        "scene": 0,
        "scenes": [{"nodes": [0]}],
        "nodes": nodes,
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0, "NORMAL": 1}, "indices": 2, "material": 0}]}],
        "materials": [{"name": "wood", "pbrMetallicRoughness": {
            "baseColorFactor": WOOD, "metallicFactor": 0, "roughnessFactor": 0.9}}],
        "accessors": [
            {"bufferView": 0, "componentType": _FLOAT, "count": len(points) // 3, "type": "VEC3",
             "min": [-0.5] * 3, "max": [0.5] * 3},
            {"bufferView": 1, "componentType": _FLOAT, "count": len(normals) // 3, "type": "VEC3"},
            {"bufferView": 2, "componentType": _SHORT, "count": len(corners), "type": "SCALAR"},
        ],
        "bufferViews": [
            {"buffer": 0, "byteOffset": 0, "byteLength": floats, "target": 34962},
            {"buffer": 0, "byteOffset": floats, "byteLength": floats, "target": 34962},
            {"buffer": 0, "byteOffset": 2 * floats, "byteLength": 2 * len(corners), "target": 34963},
        ],
        "buffers": [{"byteLength": len(data)}],
    }  # fmt: skip
    text = json.dumps(scene, separators=(",", ":"), ensure_ascii=False).encode()
    chunks = _chunk(b"JSON", text, b" ") + _chunk(b"BIN\0", data, b"\0")
    return struct.pack("<4sII", b"glTF", 2, 12 + len(chunks)) + chunks


def _node(name: str, box: Box) -> dict[str, Any]:
    (x, y, z), (wide, deep, high) = box.low, box.size
    middle = (x + wide / 2, z + high / 2, -(y + deep / 2))
    return {
        "name": name,
        "mesh": 0,
        "translation": [round(each / METRE, 6) for each in middle],
        "scale": [round(each / METRE, 6) for each in (wide, high, deep)],
    }


def _unit_box() -> tuple[list[float], list[float], list[int]]:
    """Points and normals of six faces of four corners each, and the corners of twelve triangles, anticlockwise."""
    points: list[float] = []
    normals: list[float] = []
    corners: list[int] = []
    for axis, side in product(range(3), (1, -1)):
        first = len(points) // 3
        for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1)):
            at = [0.0, 0.0, 0.0]
            at[axis], at[(axis + 1) % 3], at[(axis + 2) % 3] = side / 2, side * a / 2, b / 2
            points += at
            normals += [side if k == axis else 0 for k in range(3)]
        corners += [first + i for i in (0, 1, 2, 0, 2, 3)]
    return points, normals, corners


def _chunk(kind: bytes, data: bytes, fill: bytes) -> bytes:
    data += fill * (-len(data) % 4)
    return struct.pack("<I4s", len(data), kind) + data
