"""Counts, volumes and areas of meshes by general-purpose libraries, for crates/measure/tests/soundness.rs.

    python soundness.py shapes              > ../../crates/measure/tests/soundness_shapes.json
    python soundness.py files FOLDER        > ../../crates/measure/tests/soundness_files.json

`shapes` are small boxes with one fault each, made here; `files` are the STL files below FOLDER, named by their path.
Needs numpy, trimesh, networkx, scipy and libigl. The weld is on the bits of the coordinates, -0 made +0.
"""

import importlib.metadata
import json
import pathlib
import sys

import igl
import numpy as np
import trimesh


def box(low, high):
    m = trimesh.creation.box(bounds=[low, high])
    return m.vertices[m.faces].astype(np.float32)


def shapes():
    b = box([0, 0, 0], [20, 20, 20])
    flipped = b.copy()
    flipped[0] = flipped[0][::-1]
    cracked = b.copy()
    cracked[0, 0, 0] += np.float32(2e-5)
    p, q, r = b[0]
    mid = (p + q) / 2
    junction = np.concatenate([b[1:], [[p, mid, r], [mid, q, r]]])
    shift = lambda d: b + np.float32(d)
    return {
        "sound": b,
        "missing_facet": b[1:],
        "flipped_facet": flipped,
        "inverted": b[:, ::-1],
        "two_crossing": np.concatenate([b, shift([10, 7, 5])]),
        "shared_edge": np.concatenate([b, shift([20, 20, 0])]),
        "shared_vertex": np.concatenate([b, shift([20, 20, 20])]),
        "duplicate_facet": np.concatenate([b, b[:1]]),
        "degenerate_facet": np.concatenate([b, [[b[0, 0], b[0, 0], b[0, 1]]]]),
        "crack": cracked,
        "nested_same_way": np.concatenate([b, box([5, 5, 5], [15, 15, 15])]),
        "t_junction": junction,
    }


def answers(soup):
    soup = np.ascontiguousarray(soup, dtype=np.float32) + np.float32(0)
    keys = soup.reshape(-1, 3).view(np.uint32)
    _, first, inverse = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    vertices = soup.reshape(-1, 3)[first].astype(float)
    faces = inverse.reshape(-1, 3)
    whole = (faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 2] != faces[:, 0])
    faces = faces[whole]
    mesh = trimesh.Trimesh(vertices, faces, process=False, validate=False)
    edges = np.sort(mesh.edges, axis=1)
    unique, where, count = np.unique(edges, axis=0, return_inverse=True, return_counts=True)
    way = np.zeros(len(unique))
    np.add.at(way, where.ravel(), np.where(mesh.edges[:, 0] < mesh.edges[:, 1], 1, -1))
    fans = igl.is_vertex_manifold(faces.astype(np.int64))
    fans = np.asarray(fans[0] if isinstance(fans, tuple) else fans).ravel()
    pinched = np.zeros(len(vertices), bool)
    pinched[: len(fans)] = ~fans.astype(bool)
    on_crowded = np.zeros(len(vertices), bool)
    on_crowded[unique[count > 2].ravel()] = True
    # Rims that close when vertices a hundred-thousandth of the diagonal apart are one.
    closes = None
    if (count == 1).any():
        from scipy.sparse import coo_matrix
        from scipy.sparse.csgraph import connected_components
        from scipy.spatial import cKDTree

        reach = 1e-5 * np.linalg.norm(vertices.max(0) - vertices.min(0))
        pairs = cKDTree(vertices).query_pairs(reach, output_type="ndarray")
        n = len(vertices)
        graph = coo_matrix((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(n, n))
        leader = connected_components(graph, directed=False)[1]
        f = leader[faces]
        f = f[(f[:, 0] != f[:, 1]) & (f[:, 1] != f[:, 2]) & (f[:, 2] != f[:, 0])]
        e = np.sort(np.concatenate([f[:, [0, 1]], f[:, [1, 2]], f[:, [2, 0]]]), axis=1)
        after = np.unique(e, axis=0, return_counts=True)[1]
        closes = {"boundary_edges": int((after == 1).sum()), "crowded_edges": int((after > 2).sum())}
    return {
        "triangles": int(len(soup)),
        "collapsed": int((~whole).sum()),
        "vertices": int(len(np.unique(faces))),
        "edges": int(len(unique)),
        "boundary_edges": int((count == 1).sum()),
        "crowded_edges": int((count > 2).sum()),
        "same_direction_edges": int(((count == 2) & (way != 0)).sum()),
        "pinched_off_crowded": int((pinched & ~on_crowded).sum()),
        "after_merge": closes,
        "volume_mm3": float(mesh.volume),
        "area_mm2": float(mesh.area),
        "centroid_mm": [float(x) for x in mesh.center_mass],
        "inertia_mm5": [[float(x) for x in row] for row in mesh.moment_inertia],
    }


def main():
    out = {
        "libraries": {n: importlib.metadata.version(n) for n in ("numpy", "scipy", "trimesh", "libigl")},
        "command": "python soundness.py " + " ".join(["shapes"] if sys.argv[1] == "shapes" else ["files", "FOLDER"]),
    }
    if sys.argv[1] == "shapes":
        out["meshes"] = {name: answers(soup) for name, soup in shapes().items()}
    else:
        root = pathlib.Path(sys.argv[2])
        found = sorted(p for p in root.rglob("*") if p.suffix.lower() == ".stl")
        out["meshes"] = {}
        for path in found:
            try:
                soup = trimesh.load(path, process=False).triangles.astype(np.float32)
            except Exception as error:  # a broken file is another suite's matter
                print(path, error, file=sys.stderr)
                continue
            if len(soup) and np.isfinite(soup).all():
                out["meshes"][path.relative_to(root).as_posix()] = answers(soup)
    json.dump(out, sys.stdout, indent=1)
    print()


main()
