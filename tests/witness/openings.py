#!/usr/bin/env python3
"""Areas that openings take of random polygons, as shapely (GEOS) measures them.

  openings.py > crates/layers/tests/made/openings.txt

Polygons: stars with random radii, unions of random bars, both with holes; seeded. A line is: the disc's diameter, the
polygon's area, the area that opening takes (all mm, mm2); then its rings, x y x y ..., outer ones counter-clockwise.
Opening: the polygon less the union of its edges' buffers, then the union of that with its own edges' buffers, kept
within the polygon; 128 segments a quarter. buffer() of a whole polygon first simplifies it by a hundredth of the distance,
which is too coarse here; of a single edge it does not.
"""
import math
import random

import shapely
from shapely import affinity
from shapely.geometry import LineString, Polygon, box

POLYGONS = 120


def star(rng, n, low, high):
    angles = sorted(rng.uniform(0, 2 * math.pi) for _ in range(n))
    return Polygon([(rng.uniform(low, high) * math.cos(a), rng.uniform(low, high) * math.sin(a)) for a in angles])


def bars(rng):
    out = None
    for _ in range(rng.randint(3, 7)):
        bar = box(0, 0, rng.uniform(2, 9), rng.uniform(0.2, 1.4))
        bar = affinity.translate(affinity.rotate(bar, rng.uniform(0, 180)), rng.uniform(-3, 3), rng.uniform(-3, 3))
        out = bar if out is None else out.union(bar)
    return out


def edges(shape):
    for polygon in getattr(shape, "geoms", [shape]):
        for ring in [polygon.exterior, *polygon.interiors] if polygon.geom_type == "Polygon" else []:
            points = list(ring.coords)
            yield from (LineString(pair) for pair in zip(points, points[1:]))


def opening(shape, radius):
    grown = [edge.buffer(radius, quad_segs=128) for edge in edges(shape)]
    eroded = shape.difference(shapely.unary_union(grown))
    grown = [edge.buffer(radius, quad_segs=128) for edge in edges(eroded)]
    return shapely.unary_union([eroded, *grown]).intersection(shape)


def rings(shape):
    for polygon in getattr(shape, "geoms", [shape]):
        polygon = shapely.geometry.polygon.orient(polygon)
        for ring in [polygon.exterior, *polygon.interiors]:
            yield " ".join(f"{v!r}" for point in list(ring.coords)[:-1] for v in point)


def main():
    rng = random.Random(20261125)
    print(f"# shapely {shapely.__version__}, GEOS {shapely.geos_version_string}, from the Python package index")
    print("# python3 tests/witness/openings.py > crates/layers/tests/made/openings.txt")
    print("# disc's diameter, area, area taken ; rings")
    made = 0
    while made < POLYGONS:
        shape = bars(rng) if made % 2 else star(rng, rng.randint(5, 24), 1.0, 6.0)
        if not shape.is_valid:
            continue
        if made % 3 == 0:
            hole = affinity.translate(star(rng, rng.randint(3, 8), 0.3, 1.2), rng.uniform(-2, 2), rng.uniform(-2, 2))
            if hole.is_valid:
                shape = shape.difference(hole)
        # Rounded to what is written; then free of the grid again, or the openings would be rounded to it too.
        shape = shapely.set_precision(shapely.set_precision(shape, 1e-4), 0)
        if not shape.is_valid or shape.is_empty or shape.area < 1:
            continue
        # Rings that touch at a point are another shape by the direction one walks them.
        if shape.buffer(-1e-6).buffer(2e-6).symmetric_difference(shape).area > 1e-3:
            continue
        below = rng.choice([0.38, 0.42, 0.78, 1.2])
        opened = opening(shape, below / 2)
        print(f"{below!r} {shape.area!r} {shape.area - opened.area!r};" + ";".join(rings(shape)))
        made += 1


if __name__ == "__main__":
    main()
