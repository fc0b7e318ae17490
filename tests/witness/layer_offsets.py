#!/usr/bin/env python3
"""Offsets and differences of whole layers as reference libraries measure them.

  layer_offsets.py PROGRAM > tests/witness/layer_offsets.txt

PROGRAM is the example `slices` of crate layers. Needs numpy, manifold3d and shapely. Layers are cut by manifold3d at
the heights of `Stack`, (k + 1/2) of the layer's height above the lowest vertex. For every layer but the first: the area
of the layer below grown by REACH_MM with round joints, and of what of the layer itself lies beyond that; a line is a
shape with both, summed over its layers, by manifold3d's CrossSection (Clipper2) and by shapely (GEOS). GEOS simplifies
a polygon by a hundredth of the distance before it grows it, a single edge it does not: each edge is grown alone.
"""
import importlib.metadata
import subprocess
import sys

import manifold3d
import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from slices import LAYER_MM, read

REACH_MM = [0.05, 0.25]
SEGMENTS = 512
SHAPES = ["ball", "torus", "bumpy", "tilted", "knot", "hollow"]


def polygons(section):
    """Outer rings less holes, by the direction of the rings."""
    out, holes = [], []
    for ring in section.to_polygons():
        if len(ring) < 3:
            continue
        x, y = ring.T
        area = 0.5 * float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))
        (out if area > 0 else holes).append(Polygon(ring).buffer(0))
    return shapely.unary_union(out).difference(shapely.unary_union(holes))


def grown(shape, reach):
    edges = []
    for polygon in getattr(shape, "geoms", [shape]):
        if polygon.geom_type != "Polygon":
            continue
        for ring in [polygon.exterior, *polygon.interiors]:
            points = list(ring.coords)
            edges += [LineString(pair).buffer(reach, quad_segs=SEGMENTS // 4) for pair in zip(points, points[1:])]
    return shapely.unary_union([shape, *edges])


def main(program):
    names = ["manifold3d", "shapely", "numpy"]
    print("#", ", ".join(f"{n} {importlib.metadata.version(n)}" for n in names),
          f"(GEOS {shapely.geos_version_string}), from the Python package index")
    print("# python3 tests/witness/layer_offsets.py PROGRAM > tests/witness/layer_offsets.txt")
    print("# shape | layer height, mm | reach, mm | grown, mm2: manifold3d | shapely | beyond, mm2: manifold3d | shapely")
    for name in SHAPES:
        layer_mm = 2 * LAYER_MM[name]
        data = subprocess.run([program, "made", name], capture_output=True, check=True).stdout
        vertices, faces = read(data)
        m = manifold3d.Manifold(manifold3d.Mesh64(vertices, faces.astype(np.uint64)))
        assert m.status() == manifold3d.Error.NoError, name
        floor, top = vertices[:, 2].min(), vertices[:, 2].max()
        count = int((top - floor) / layer_mm + 0.5)
        sections = [m.slice(float(floor + (k + 0.5) * layer_mm)) for k in range(count)]
        shapes = [polygons(s) for s in sections]
        for reach in REACH_MM:
            sums = np.zeros(4)
            for k in range(1, count):
                wide = sections[k - 1].offset(reach, manifold3d.JoinType.Round, circular_segments=SEGMENTS)
                wider = grown(shapes[k - 1], reach)
                sums += [wide.area(), wider.area, (sections[k] - wide).area(), shapes[k].difference(wider).area]
            print(name, layer_mm, reach, *(repr(float(s)) for s in sums), flush=True)


if __name__ == "__main__":
    main(sys.argv[1])
