"""The model, read by a library that shares nothing with what wrote it."""

from __future__ import annotations

import io

import numpy as np
import pytest
import trimesh
from tests.drawings.subjects import NAMES, subject

from sawbill.drawings.model import glb
from sawbill.trade.boxes import Box
from sawbill.trade.lengths import METRE


@pytest.mark.parametrize("name", NAMES)
def test_every_part_stands_in_the_model_under_its_letter_as_it_stands_in_the_frame(name: str) -> None:
    drawn = subject(name)
    scene = trimesh.load_scene(io.BytesIO(glb(drawn)), file_type="glb")
    found = {}
    for node in scene.graph.nodes_geometry:
        matrix, mesh = scene.graph[node]
        corners = trimesh.transform_points(scene.geometry[mesh].bounds, matrix)
        found[node] = np.sort(corners, axis=0)
    assert len(found) == len(drawn.frame.parts)
    for key, box in drawn.frame.boxes.items():
        assert found[f"{drawn.labels[key]} {key}"] == pytest.approx(upright(box), abs=2e-6)


def test_pieces_are_groups_and_their_parts_lie_in_them() -> None:
    drawn = subject("slatted-bed")
    scene = trimesh.load_scene(io.BytesIO(glb(drawn)), file_type="glb")
    for piece in drawn.pieces:
        mine = set(scene.graph.transforms.children[piece.name])
        assert mine == {f"{drawn.labels[key]} {key}" for key in piece.parts}


def test_the_box_is_closed_and_its_faces_look_outward() -> None:
    scene = trimesh.load_scene(io.BytesIO(glb(subject("bench"))), file_type="glb")
    (mesh,) = scene.geometry.values()
    mesh.merge_vertices(merge_norm=True)
    assert mesh.is_watertight
    assert mesh.volume == pytest.approx(1)


def test_it_is_small_and_the_same_on_every_run() -> None:
    assert glb(subject("slatted-bed")) == glb(subject("slatted-bed"))
    assert all(len(glb(subject(name))) < 16_000 for name in NAMES)


def upright(box: Box) -> np.ndarray:
    """Its corners in metres, y up, z toward whoever stands in front."""
    (a, b, c), (d, e, f) = box.low, box.high
    return np.array(((a, c, -e), (d, f, -b))) / METRE
