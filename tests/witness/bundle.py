"""What other programs and libraries say about the sample bundle of crate `archive`.

    cargo run -q -p archive --example sample_bundle > sample.zip
    python3 tests/witness/bundle.py sample.zip NODE_FOLDER > crates/archive/tests/bundle_witness.json

Needs: unzip (Info-ZIP), sha256sum (coreutils), Python with lib3mf and trimesh (numpy, scipy, networkx), node
with gltf-validator installed in NODE_FOLDER. Everything is run in a temporary folder. The result names the
SHA-256 of the bundle it is about; the tests of the crate refuse a result about other bytes.
"""

import hashlib
import importlib.metadata
import json
import pathlib
import subprocess
import sys
import tempfile
import zipfile

import lib3mf
import numpy
import trimesh


def run(*command, **options):
    return subprocess.run(command, capture_output=True, text=True, **options)


def read_3mf(path):
    """What lib3mf reads: counts, validity, volume, texts, and the coordinates."""
    wrapper = lib3mf.get_wrapper()
    model = wrapper.CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromFile(str(path))
    objects = model.GetMeshObjects()
    objects.MoveNext()
    mesh = objects.GetCurrentMeshObject()
    vertices = numpy.array([v.Coordinates[:] for v in mesh.GetVertices()], dtype=numpy.float64)
    faces = numpy.array([t.Indices[:] for t in mesh.GetTriangleIndices()])
    # Where the build's item puts the object: row vectors times a matrix of 4 x 3 (core 1.4, clause 3.3).
    items = model.GetBuildItems()
    items.MoveNext()
    fields = numpy.array([list(row) for row in items.GetCurrent().GetObjectTransform().Fields])
    vertices = vertices @ fields[:3] + fields[3]
    solid = trimesh.Trimesh(vertices, faces, process=False)
    group = model.GetMetaDataGroup()
    metadata = {}
    for k in range(group.GetMetaDataCount()):
        entry = group.GetMetaData(k)
        metadata[entry.GetName()] = entry.GetValue()
    items = model.GetBuildItems()
    count = 0
    while items.MoveNext():
        count += 1
    return {
        "warnings": reader.GetWarningCount(),
        "unit": str(model.GetUnit()),
        "vertices": mesh.GetVertexCount(),
        "triangles": mesh.GetTriangleCount(),
        "manifold_and_oriented": mesh.IsManifoldAndOriented(),
        "valid": mesh.IsValid(),
        "name": mesh.GetName(),
        "part_number": mesh.GetPartNumber(),
        "build_items": count,
        "metadata": metadata,
        "volume_mm3": float(solid.volume),
        "least": vertices.min(axis=0).tolist(),
        "greatest": vertices.max(axis=0).tolist(),
    }


def read_stl(path):
    """What trimesh reads, equal vertices merged."""
    mesh = trimesh.load_mesh(path)
    return {
        "triangles": len(mesh.faces),
        "watertight": bool(mesh.is_watertight),
        "winding_consistent": bool(mesh.is_winding_consistent),
        "volume_mm3": float(mesh.volume),
        "least": mesh.bounds[0].tolist(),
        "greatest": mesh.bounds[1].tolist(),
    }


def read_glb(path, node_folder):
    """What the validator of the glTF standard says."""
    script = (
        "const v=require('gltf-validator');"
        "v.validateBytes(new Uint8Array(require('fs').readFileSync(process.argv[1])))"
        ".then(r=>console.log(JSON.stringify({validator:r.validatorVersion,errors:r.issues.numErrors,"
        "warnings:r.issues.numWarnings,infos:r.issues.numInfos,messages:r.issues.messages.map(m=>m.code),"
        "triangles:r.info.totalTriangleCount,vertices:r.info.totalVertexCount})))"
    )
    return json.loads(run("node", "-e", script, str(path), cwd=node_folder, check=True).stdout)


def main():
    bundle, node_folder = pathlib.Path(sys.argv[1]), sys.argv[2]
    data = bundle.read_bytes()
    result = {
        "about_sha256": hashlib.sha256(data).hexdigest(),
        "command": "python3 tests/witness/bundle.py sample.zip NODE_FOLDER",
        "versions": {
            "unzip": run("unzip", "-v").stdout.splitlines()[0].split(",")[0],
            "sha256sum": run("sha256sum", "--version").stdout.splitlines()[0],
            "python": sys.version.split()[0],
            "lib3mf": importlib.metadata.version("lib3mf"),
            "trimesh": importlib.metadata.version("trimesh"),
        },
    }
    with tempfile.TemporaryDirectory() as folder:
        test = run("unzip", "-t", str(bundle))
        result["unzip_test"] = {"exit": test.returncode, "last_line": test.stdout.splitlines()[-1].split(" in ")[0]}
        run("unzip", "-q", str(bundle.resolve()), "-d", folder, check=True)
        sums = run("sha256sum", "--strict", "-c", "SHA256SUMS", cwd=folder)
        result["sha256sum_check"] = {"exit": sums.returncode, "ok": sums.stdout.count(": OK")}
        with zipfile.ZipFile(bundle) as archive:
            result["python_zipfile"] = {
                "bad": archive.testzip(),
                "names": archive.namelist(),
                "times": sorted({str(i.date_time) for i in archive.infolist()}),
                "extra_or_comment": any(i.extra or i.comment for i in archive.infolist()) or bool(archive.comment),
            }
            seal = archive.read("zip.sha256").decode().split()
        result["seal_is_hash_of_the_front"] = hashlib.sha256(data[: int(seal[3])]).hexdigest() == seal[0]
        root = pathlib.Path(folder)
        result["three_mf"] = {p.stem: read_3mf(p) for p in sorted(root.glob("3mf/*"))}
        result["stl"] = {p.stem: read_stl(p) for p in sorted(root.glob("stl/*"))}
        result["glb"] = {p.stem: read_glb(p, node_folder) for p in sorted(root.glob("preview/*"))}
    print(json.dumps(result, indent=1, ensure_ascii=False))


main()
