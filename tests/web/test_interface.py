"""The interface as scripts rely on it: nothing of it goes, comes or changes by accident.

`interface.txt` lists every address with its parameters, statuses and the keys of what it takes and sends. After a
change that is meant, make it anew and read the difference:

    .venv/bin/python -m tests.web.test_interface
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from sawbill.web.app import create_app
from sawbill.web.running.settings import Settings

LISTED = Path(__file__).with_name("interface.txt")
METHODS = ("get", "post", "put", "patch", "delete")


def described() -> dict[str, Any]:
    """The description that the service gives of itself."""
    found = json.loads(create_app(Settings()).test_client().get("/openapi.json").data)
    assert isinstance(found, dict)
    return found


def lines(api: Mapping[str, Any]) -> Iterator[str]:
    """Each address, then each schema, with what belongs to it."""

    def resolved(thing: Mapping[str, Any]) -> Mapping[str, Any]:
        while "$ref" in thing:
            found: Any = api
            for step in thing["$ref"].split("/")[1:]:
                found = found[step]
            thing = found
        return thing

    for path, operations in sorted(api["paths"].items()):
        shared = operations.get("parameters", [])
        for method in (each for each in METHODS if each in operations):
            operation = operations[method]
            yield f"{method.upper()} {path}"
            names = sorted(
                f"{each['in']} {each['name']}{' required' if each.get('required') else ''}"
                for each in map(resolved, [*shared, *operation.get("parameters", [])])
            )
            yield from (f"  {name}" for name in names)
            for kind in sorted(resolved(operation.get("requestBody", {})).get("content", {})):
                yield f"  takes {kind}"
            for status, answer in sorted(operation["responses"].items()):
                yield f"  {status} {' '.join(sorted(resolved(answer).get('content', {})))}".rstrip()
    for name, schema in sorted(api["components"]["schemas"].items()):
        yield f"schema {name}"
        required = set(schema.get("required", ()))
        for key, value in sorted(schema.get("properties", {}).items()):
            kind = value.get("type") or value.get("$ref", "").rpartition("/")[2] or "any of several"
            yield f"  {key}: {kind if isinstance(kind, str) else ' or '.join(kind)}{'' if key in required else ' ?'}"


def test_the_interface_is_as_it_is_listed() -> None:
    found, listed = list(lines(described())), LISTED.read_text().splitlines()
    gone, come = sorted(set(listed) - set(found)), sorted(set(found) - set(listed))
    assert found == listed, f"gone: {gone[:20]}; come: {come[:20]}"


if __name__ == "__main__":
    LISTED.write_text("".join(f"{line}\n" for line in lines(described())))
