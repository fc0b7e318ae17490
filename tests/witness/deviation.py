"""Distances of all vertices of one mesh from the surface of another, both ways, by point-cloud-utils.

    python3 -m venv venv && venv/bin/pip install point-cloud-utils numpy
    mkdir pairs && cargo run -q -p revisions --example deviation_pairs -- pairs > pairs/names.txt
    KITPROOF_OPEN_DATA=... venv/bin/python tests/witness/deviation.py pairs \\
        > crates/revisions/tests/deviation_witness.json

The tests of crate `revisions` hold its own distances against the result. Vertices are those of the triangles, each
place once (equal coordinates in single precision), as kitproof welds them.
"""

import importlib.metadata
import json
import os
import pathlib
import sys

import numpy
import point_cloud_utils

FOLDER = pathlib.Path(sys.argv[1])
OPEN_DATA = pathlib.Path(os.environ["KITPROOF_OPEN_DATA"])
RECORD = numpy.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("rest", "<u2")])


def read(path):
    """Vertices and triangles of a binary or ASCII STL; triangles with two corners in one place are left out."""
    data = path.read_bytes()
    count = int.from_bytes(data[80:84], "little")
    if len(data) == 84 + 50 * count:
        corners = numpy.frombuffer(data, RECORD, count, 84)["corners"]
    else:
        words = data.decode("ascii").split()
        at = [k for k, word in enumerate(words) if word == "vertex"]
        corners = numpy.array([[float(x) for x in words[k + 1 : k + 4]] for k in at], numpy.float32)
        corners = corners.reshape(-1, 3, 3)
    vertices, ids = numpy.unique(corners.reshape(-1, 3) + numpy.float32(0), axis=0, return_inverse=True)
    triangles = ids.reshape(-1, 3)
    whole = (
        (triangles[:, 0] != triangles[:, 1])
        & (triangles[:, 1] != triangles[:, 2])
        & (triangles[:, 2] != triangles[:, 0])
    )
    triangles = triangles[whole]
    used, ids = numpy.unique(triangles, return_inverse=True)
    return vertices[used].astype(numpy.float64), ids.reshape(-1, 3)


def way(start, end):
    found, _, _ = point_cloud_utils.closest_points_on_mesh(start[0], end[0], end[1])
    return {
        "vertices": len(found),
        "max": float(found.max()),
        "mean": float(found.mean()),
        "rms": float(numpy.sqrt((found**2).mean())),
    }


def main():
    pairs = {}
    made = 0
    for name in (FOLDER / "names.txt").read_text().splitlines():
        if name.startswith("kits/"):
            base, present = (read(OPEN_DATA / path) for path in name.split(" "))
        else:
            base, present = (read(FOLDER / f"{made}-{which}.stl") for which in ("base", "present"))
            made += 1
        pairs[name] = {"there": way(base, present), "back": way(present, base)}
    version = importlib.metadata.version("point-cloud-utils")
    print(json.dumps({"made_by": f"tests/witness/deviation.py, point-cloud-utils {version}", "pairs": pairs}, indent=1))


main()
