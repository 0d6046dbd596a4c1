"""What is in the image, by name and version: a bill of materials as CycloneDX 1.5 (ECMA-424) has it, to the output.

docker run --rm --interactive --entrypoint python sawbill - < bill_of_materials.py > sawbill.cdx.json
"""

import importlib.metadata
import json
import re
import sys
from pathlib import Path

DEBIAN = Path("/var/lib/dpkg/status")
"""Debian's list of the packages that are installed."""


def component(name, version, purl):
    """Name a package, and where it is from (package URL)."""
    return {"type": "library", "name": name, "version": version, "purl": purl, "bom-ref": purl}


def of_python():
    """The packages of this environment."""
    for each in importlib.metadata.distributions():
        name = re.sub(r"[-_.]+", "-", each.metadata["Name"]).lower()
        yield component(name, each.version, f"pkg:pypi/{name}@{each.version}")


def of_debian():
    """The packages of the system."""
    status = DEBIAN.read_text(errors="replace") if DEBIAN.is_file() else ""
    for told in status.split("\n\n"):
        fields = dict(re.findall(r"^(Package|Status|Version|Architecture): (.*)$", told, re.MULTILINE))
        if fields.get("Status", "").endswith(" installed"):
            name, version = fields["Package"], fields["Version"]
            yield component(name, version, f"pkg:deb/debian/{name}@{version}?arch={fields['Architecture']}")


def bill():
    """All of it, the same for the same image."""
    found = {each["purl"]: each for each in (*of_python(), *of_debian())}
    about = {"type": "application", "name": "sawbill", "version": importlib.metadata.version("sawbill")}
    return {
        "bomFormat": "CycloneDX",
        "specVersion": "1.5",
        "version": 1,
        "metadata": {"component": about},
        "components": [found[purl] for purl in sorted(found)],
    }


json.dump(bill(), sys.stdout, indent=1)
