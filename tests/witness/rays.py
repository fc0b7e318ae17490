#!/usr/bin/env python3
"""A ray a facet, tree included: a reference library and our tree in turn.

  rays.py FILE PROGRAM

FILE is a binary STL; PROGRAM the example `crossings` of crate mesh, built with --release. Needs numpy and open3d
(whose rays are those of Embree). Both cast from each facet's centroid along its inward normal; the library from 1e-4
mm below the facet, ours from the facet itself, which is left out by its number. Prints wall and CPU seconds of each.
"""
import json
import subprocess
import sys
import time

import numpy as np
import open3d as o3d

path, program = sys.argv[1:3]
with open(path, "rb") as f:
    data = f.read()
count = int(np.frombuffer(data, "<u4", 1, 80)[0])
record = np.dtype([("n", "<f4", 3), ("v", "<f4", (3, 3)), ("a", "<u2")])
corners = np.ascontiguousarray(np.frombuffer(data, record, count, 84)["v"])
vertices, ids = np.unique(corners.reshape(-1, 3), axis=0, return_inverse=True)
faces = np.ascontiguousarray(ids.reshape(-1, 3).astype(np.uint32))
wide = corners.astype(float)
normal = np.cross(wide[:, 1] - wide[:, 0], wide[:, 2] - wide[:, 0])
long = np.linalg.norm(normal, axis=1)
keep = long > 0
normal = normal[keep] / long[keep, None]
start = wide[keep].mean(1) - 1e-4 * normal
rays = o3d.core.Tensor(np.c_[start, -normal].astype(np.float32))

print("open3d", o3d.__version__)
for _ in range(3):
    wall, cpu = time.perf_counter(), time.process_time()
    scene = o3d.t.geometry.RaycastingScene()
    scene.add_triangles(o3d.core.Tensor(vertices), o3d.core.Tensor(faces))
    hits = int(np.isfinite(scene.cast_rays(rays)["t_hit"].numpy()).sum())
    print(json.dumps({"open3d_wall_s": time.perf_counter() - wall, "open3d_cpu_s": time.process_time() - cpu,
                      "hits": hits}))
    with open(path, "rb") as f:
        ours = json.loads(subprocess.run([program], stdin=f, capture_output=True, check=True).stdout)
    print(json.dumps({"ours_wall_s": ours["tree_s"] + ours["rays_s"], "hits": ours["hits"],
                      "threads": ours["threads"]}))
