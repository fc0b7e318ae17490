#!/usr/bin/env python3
"""Areas of slices as reference libraries measure them.

  slices.py made PROGRAM > slices.txt       the shapes that the tests of crate layers build as well
  slices.py FILE [FILE ...] PROGRAM         binary STL files: how far our areas are from theirs, and the times

PROGRAM is the example `slices` of crate layers, built with --release. Needs numpy, manifold3d, trimesh (with shapely,
networkx, scipy, rtree). Heights are those of `Stack`: (k + 1/2) of the layer's height above the lowest vertex.
manifold3d: Manifold.slice(z).area(); trimesh: section_multiplane, sum of the polygons' areas. Both get the welded
mesh; manifold3d keeps vertices as doubles (Mesh64).
"""
import io
import json
import subprocess
import sys
import time

import manifold3d
import numpy as np
import trimesh

LAYER_MM = {"prism": 0.37, "cone": 0.37, "ball": 0.37, "torus": 0.17, "bumpy": 0.37, "tilted": 0.77, "knot": 0.37,
            "hollow": 0.37, "wedge": 0.17}
LAYERS = 100


def read(data):
    count = int(np.frombuffer(data, "<u4", 1, 80)[0])
    record = np.dtype([("n", "<f4", 3), ("v", "<f4", (3, 3)), ("a", "<u2")])
    corners = np.frombuffer(data, record, count, 84)["v"] + np.float32(0)
    vertices, ids = np.unique(corners.reshape(-1, 3), axis=0, return_inverse=True)
    faces = ids.reshape(-1, 3)
    a, b, c = faces.T
    return vertices.astype(float), faces[(a != b) & (b != c) & (c != a)]


def by_manifold(vertices, faces, heights):
    m = manifold3d.Manifold(manifold3d.Mesh64(vertices, faces.astype(np.uint64)))
    if m.status() != manifold3d.Error.NoError:
        return None, 0.0
    m.num_tri()
    begun = time.perf_counter()
    slices = [m.slice(float(z)) for z in heights]
    areas = [s.area() for s in slices]
    return areas, time.perf_counter() - begun


def by_trimesh(vertices, faces, heights):
    m = trimesh.Trimesh(vertices, faces, process=False)
    begun = time.perf_counter()
    sections = m.section_multiplane([0, 0, 0], [0, 0, 1], heights)
    areas = [0.0 if s is None else float(s.area) for s in sections]
    return areas, time.perf_counter() - begun


def ours(program, data, layer_mm):
    out = subprocess.run([program, "areas", repr(layer_mm)], input=data, capture_output=True, check=True).stdout
    *lines, last = out.decode().splitlines()
    rows = np.loadtxt(io.StringIO("\n".join(lines)), ndmin=2)
    return rows, json.loads(last)


def made(program):
    print(f"# manifold3d {version('manifold3d')}, trimesh {trimesh.__version__}, numpy {np.__version__}, "
          "all from the Python package index")
    print("# python3 tests/witness/slices.py made PROGRAM")
    print("# shape | layer height, mm | layer | area, mm2: manifold3d | trimesh")
    for name, layer_mm in LAYER_MM.items():
        data = subprocess.run([program, "made", name], capture_output=True, check=True).stdout
        vertices, faces = read(data)
        floor, top = vertices[:, 2].min(), vertices[:, 2].max()
        count = int((top - floor) / layer_mm + 0.5)
        layers = np.arange(count)
        heights = floor + (layers + 0.5) * layer_mm
        one, _ = by_manifold(vertices, faces, heights)
        other, _ = by_trimesh(vertices, faces, heights)
        for k in layers[:: max(1, count // 12)]:
            print(f"{name} {layer_mm} {k} {one[k]!r} {other[k]!r}")


def version(name):
    import importlib.metadata
    return importlib.metadata.version(name)


def files(paths, program):
    print("# mesh | facets | layers | largest area, mm2 | greatest difference, share of the largest area, and relative: "
          "manifold3d | trimesh | seconds: ours, manifold3d, trimesh | open chains")
    for path in paths:
        with open(path, "rb") as f:
            data = f.read()
        vertices, faces = read(data)
        floor, top = vertices[:, 2].min(), vertices[:, 2].max()
        layer_mm = float((top - floor) / (LAYERS + 0.123))
        rows, summary = ours(program, data, layer_mm)
        heights = floor + rows[:, 0]
        columns = []
        seconds = [summary["seconds"]]
        for library in (by_manifold, by_trimesh):
            try:
                areas, took = library(vertices, faces, heights)
            except Exception as error:
                areas, took = None, 0.0
                print("#", path, library.__name__, repr(error)[:120], file=sys.stderr)
            seconds.append(took)
            if areas is None:
                columns.append("refused")
                continue
            areas = np.asarray(areas)
            apart = np.abs(areas - rows[:, 1])
            scale = max(np.abs(areas).max(), 1e-3)
            columns.append(f"{apart.max() / scale:.1e} {(apart / np.maximum(np.abs(areas), 1e-3)).max():.1e}")
        print(path.split("/")[-1], len(faces), len(rows), f"{rows[:, 1].max():.3f}", "|", " | ".join(columns), "|",
              " ".join(f"{s:.3f}" for s in seconds), "|", int(rows[:, 3].sum()), flush=True)


if __name__ == "__main__":
    if sys.argv[1] == "made":
        made(sys.argv[2])
    else:
        files(sys.argv[1:-1], sys.argv[-1])
