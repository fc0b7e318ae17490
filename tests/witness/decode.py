"""What independent libraries read from the meshes of the open data: triangles and volume.

Usage: python decode.py DATA_FOLDER > decode.txt
Needs: pip install trimesh networkx lxml lib3mf numpy-stl pillow scipy

Every line: file, library, triangles, signed volume in the unit of the file, or the reason for none.
trimesh reads STL, OBJ and PLY (faces as filed, nothing merged); numpy-stl reads STL; lib3mf reads 3MF,
summing the items of the build that are of type model, with their transforms.
"""

import contextlib
import io
import logging
import os
import sys
from importlib import metadata

import lib3mf
import numpy
import stl
import trimesh


def volume(corners):
    a, b, c = (corners[:, k].astype(float) for k in range(3))
    return float(numpy.einsum("ij,ij->i", a, numpy.cross(b, c)).sum() / 6.0)


def by_trimesh(path):
    loaded = trimesh.load(path, process=False, force="scene", skip_materials=True)
    meshes = [g for g in loaded.dump() if hasattr(g, "faces")]
    corners = [m.vertices[m.faces] for m in meshes if len(m.faces)]
    if not corners:
        return 0, 0.0
    corners = numpy.concatenate(corners)
    return len(corners), volume(corners)


def by_numpy_stl(path):
    mesh = stl.mesh.Mesh.from_file(path, remove_empty_areas=False)
    return len(mesh.vectors), volume(mesh.vectors)


def by_lib3mf(path):
    wrapper = lib3mf.get_wrapper()
    model = wrapper.CreateModel()
    model.QueryReader("3mf").ReadFromFile(path)
    items = model.GetBuildItems()
    total, count = 0.0, 0
    while items.MoveNext():
        item = items.GetCurrent()
        resource = item.GetObjectResource()
        if resource.GetType() != lib3mf.ObjectType.Model:
            continue
        for corners, mirrored in flat(resource, matrix(item.GetObjectTransform())):
            total += -volume(corners) if mirrored else volume(corners)
            count += len(corners)
    return count, total


def matrix(transform):
    full = numpy.eye(4)
    full[:, :3] = numpy.array([list(row) for row in transform.Fields])
    return full


def flat(resource, outer):
    """The meshes under an object, with the transforms of its components."""
    if resource.IsMeshObject():
        points = numpy.array([list(v.Coordinates) for v in resource.GetVertices()])
        faces = numpy.array([list(t.Indices) for t in resource.GetTriangleIndices()])
        moved = (numpy.c_[points, numpy.ones(len(points))] @ outer)[:, :3]
        return [(moved[faces], numpy.linalg.det(outer[:3, :3]) < 0)]
    out = []
    for k in range(resource.GetComponentCount()):
        component = resource.GetComponent(k)
        out += flat(component.GetObjectResource(), matrix(component.GetTransform()) @ outer)
    return out


READERS = {
    ".stl": [("trimesh", by_trimesh), ("numpy-stl", by_numpy_stl)],
    ".obj": [("trimesh", by_trimesh)],
    ".ply": [("trimesh", by_trimesh)],
    ".3mf": [("lib3mf", by_lib3mf)],
}


def main():
    logging.disable(logging.CRITICAL)
    root = sys.argv[1]
    versions = [f"{name} {metadata.version(name)}" for name in ["trimesh", "numpy-stl", "lib3mf", "numpy"]]
    print("#", ", ".join(versions))
    print("# python decode.py DATA_FOLDER > decode.txt")
    for folder in ["odd-meshes", "3mf/core-samples/examples/core"]:
        for name in sorted(os.listdir(os.path.join(root, folder))):
            path = os.path.join(root, folder, name)
            for library, read in READERS.get(os.path.splitext(name)[1].lower(), []):
                try:
                    with contextlib.redirect_stdout(io.StringIO()):
                        triangles, value = read(path)
                    print(f"{folder}/{name}\t{library}\t{triangles}\t{value:.9g}")
                except Exception as error:  # the reason is the result
                    reason = " ".join(str(error).split())[:60] or type(error).__name__
                    print(f"{folder}/{name}\t{library}\t-\t{reason}")


main()
