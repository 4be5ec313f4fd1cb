"""Holds TOML files against a JSON Schema with the package jsonschema: `schemas.py SCHEMA FILE...`."""

import datetime
import json
import sys
import tomllib

import jsonschema


def plain(value):
    """TOML knows days, JSON does not: editors hand them over as text."""
    if isinstance(value, dict):
        return {key: plain(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [plain(inner) for inner in value]
    return value.isoformat() if isinstance(value, datetime.date) else value


with open(sys.argv[1], encoding="utf-8") as file:
    schema = json.load(file)
jsonschema.Draft202012Validator.check_schema(schema)
validator = jsonschema.Draft202012Validator(schema)
for name in sys.argv[2:]:
    with open(name, "rb") as file:
        faults = list(validator.iter_errors(plain(tomllib.load(file))))
    for fault in faults:
        print(f"{name}\t{'.'.join(map(str, fault.path))}\t{fault.message}")
    print(f"{name}\t{'odd' if faults else 'fits'}")
