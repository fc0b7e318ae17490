"""Holds the manifest's JSON Schema to a validator outside the project.

Run from the top of the repository with Python 3.11 or later and the package jsonschema:
    python3 tests/witness/kit_schema.py
It writes kit_schema.json beside itself, which a test of crate kit reads.
"""

import datetime
import importlib.metadata
import json
import pathlib
import tomllib

import jsonschema

TOP = pathlib.Path(__file__).resolve().parents[2]
KIT = TOP / "crates" / "kit"


def plain(value):
    """TOML values as JSON ones: dates become text."""
    if isinstance(value, dict):
        return {key: plain(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [plain(inner) for inner in value]
    if isinstance(value, (datetime.date, datetime.time)):
        return value.isoformat()
    return value


def errors(validator, text):
    """How many errors a manifest has; None where it is no TOML."""
    try:
        manifest = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return None
    return sum(1 for _ in validator.iter_errors(plain(manifest)))


def main():
    schema = json.loads((KIT / "kit.schema.json").read_text("utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    template = (KIT / "kit.template.toml").read_text("utf-8")
    listed = tomllib.loads((KIT / "tests" / "manifests" / "one-by-one.toml").read_text("utf-8"))
    result = {
        "library": "jsonschema",
        "version": importlib.metadata.version("jsonschema"),
        "command": "python3 tests/witness/kit_schema.py",
        "schema_is_valid": True,
        "template_errors": errors(validator, template),
        "changes": [
            {"bad": c["bad"], "errors": errors(validator, template.replace(c["good"], c["bad"], 1))}
            for c in listed["change"]
        ],
        "kits": {
            str(path.relative_to(TOP)): errors(validator, path.read_text("utf-8"))
            for path in sorted(TOP.glob("kits/*/kit.toml"))
        },
        "schema": schema,
    }
    out = pathlib.Path(__file__).with_suffix(".json")
    out.write_text(json.dumps(result, indent=1) + "\n", "utf-8")
    print(out, "template errors:", result["template_errors"])
    for change in result["changes"]:
        if change["errors"] == 0:
            print("the schema takes", change["bad"])


main()
