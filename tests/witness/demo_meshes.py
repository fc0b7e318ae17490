"""Looks at every mesh of the demo kit with a library that shares no code with this project.

Needs a Python venv with: trimesh numpy scipy networkx lxml. Run from the workspace's root:

    python tests/witness/demo_meshes.py > tests/witness/demo_meshes.txt

For every printed mesh: watertight, winding consistent, volume above 0, one body, and the facets that hang
over more than 45 degrees (0.6 degrees of slack) in the orientation of kit.toml, away from the plate.
The results of the last run, with the library's version, lie beside this script.
"""

import pathlib
import tomllib

import numpy
import trimesh

ROOT = pathlib.Path(__file__).resolve().parents[2] / "kits" / "skerry-light"
UP = {"+z": numpy.eye(4), "-z": numpy.diag([1.0, -1.0, -1.0, 1.0])}

kit = tomllib.loads((ROOT / "kit.toml").read_text())
print(f"trimesh {trimesh.__version__}")
print("part            faces  volume_mm3  watertight winding bodies  overhang_mm2 at_z_mm")
for part in kit["part"]:
    if "mesh" not in part:
        continue
    mesh = trimesh.load(ROOT / part["mesh"], force="mesh")
    mesh.merge_vertices()
    assert mesh.is_watertight and mesh.is_winding_consistent and mesh.volume > 0, part["id"]
    bodies = len(mesh.split(only_watertight=False))
    assert bodies == 1, part["id"]
    volume = mesh.volume
    mesh.apply_transform(UP[part["up"]])
    height = mesh.triangles_center[:, 2] - mesh.bounds[0][2]
    hanging = (mesh.face_normals[:, 2] < -numpy.sin(numpy.radians(45.6))) & (height > 0.01)
    places = sorted({round(float(z), 1) for z in height[hanging]})
    print(
        f"{part['id']:14} {len(mesh.faces):6} {volume:11.2f}  {mesh.is_watertight!s:10} "
        f"{mesh.is_winding_consistent!s:7} {bodies:6} {mesh.area_faces[hanging].sum():13.2f} {places}"
    )
