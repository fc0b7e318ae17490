"""Puts the demo kit together with libraries that share no code with this project.

Needs a Python venv with: trimesh numpy scipy networkx lxml manifold3d. Run from the workspace's root:

    python tests/witness/demo_assembly.py > tests/witness/demo_assembly.txt

Every pose of kit.toml is applied (turn about the mesh's fixed x, y, z, then move, then repeat) and each pair
of pieces that come near each other is intersected: no two pieces may share a volume. The least gap of each
pair up to 1 mm is printed: 0 where one piece stands on another, else the gap as designed.
The results of the last run, with the libraries' versions, lie beside this script.
"""

import importlib.metadata
import itertools
import pathlib
import tomllib

import manifold3d
import numpy
import trimesh
from trimesh.transformations import rotation_matrix

ROOT = pathlib.Path(__file__).resolve().parents[2] / "kits" / "skerry-light"
REACH_MM = 1.0

kit = tomllib.loads((ROOT / "kit.toml").read_text())
parts = {part["id"]: part for part in kit["part"]}


def mesh_of(part):
    if "mirror-of" in part:
        mesh = mesh_of(parts[part["mirror-of"]])
        mirror = numpy.eye(4)
        axis = "xyz".index(part["mirror"])
        mirror[axis, axis] = -1.0
        mesh.apply_transform(mirror)
        return mesh
    mesh = trimesh.load(ROOT / part["mesh"], force="mesh")
    mesh.merge_vertices()
    return mesh


def pieces():
    for pose in kit["pose"]:
        x, y, z = numpy.radians(pose.get("turn", [0, 0, 0]))
        place = (
            rotation_matrix(z, [0, 0, 1])
            @ rotation_matrix(y, [0, 1, 0])
            @ rotation_matrix(x, [1, 0, 0])
        )
        place[:3, 3] = pose.get("move", [0, 0, 0])
        repeat = pose.get("repeat", {"count": 1, "about": [0, 0, 1], "through": [0, 0, 0]})
        for k in range(repeat["count"]):
            step = rotation_matrix(
                2 * numpy.pi * k / repeat["count"], repeat["about"], repeat["through"]
            )
            mesh = mesh_of(parts[pose["part"]])
            mesh.apply_transform(step @ place)
            solid = manifold3d.Manifold(
                manifold3d.Mesh(
                    numpy.asarray(mesh.vertices, numpy.float32),
                    numpy.asarray(mesh.faces, numpy.uint32),
                )
            )
            assert solid.status() == manifold3d.Error.NoError, pose["part"]
            yield pose["part"], k, solid, mesh.bounds


print(f"trimesh {trimesh.__version__}, manifold3d {importlib.metadata.version('manifold3d')}")
print("piece            piece            shared_mm3  gap_mm")
everything = list(pieces())
for one, other in itertools.combinations(everything, 2):
    (a, i, solid_a, box_a), (b, j, solid_b, box_b) = one, other
    if (box_a[0] - REACH_MM > box_b[1]).any() or (box_b[0] - REACH_MM > box_a[1]).any():
        continue
    shared = abs((solid_a ^ solid_b).volume())
    # Pieces that stand on each other share a rounding of the turned coordinates at most.
    assert shared < 0.01, (a, i, b, j, shared)
    gap = solid_a.min_gap(solid_b, REACH_MM)
    if gap < REACH_MM:
        print(f"{a + ' ' + str(i):16} {b + ' ' + str(j):16} {shared:10.4f} {gap:7.3f}")

counted = {}
for part, _, _, _ in everything:
    counted[part] = counted.get(part, 0) + 1
for part in parts.values():
    assert counted.get(part["id"], 0) in (part.get("count", 1), 0), part["id"]
print("without a place in the assembled kit:", [p for p in parts if p not in counted])
