"""What the package says it needs is what is tried: the locks hold it."""

import re
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.version import Version

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
NEEDED = [Requirement(line) for line in PROJECT["dependencies"]]


def locked(name):
    """The versions in a lock, by package; there may be several, for several versions of Python."""
    found = {}
    for package, version in re.findall(r"^([a-z0-9-]+)==([^\s;]+)", (ROOT / ".ci" / "lock" / name).read_text(), re.M):
        found.setdefault(package, []).append(Version(version))
    return found


@pytest.mark.parametrize("needed", NEEDED, ids=lambda needed: needed.name)
def test_the_least_version_that_is_declared_is_the_one_that_is_tried(needed):
    (least,) = (Version(each.version) for each in needed.specifier if each.operator == ">=")
    assert min(locked("lowest.txt")[needed.name]) == least


@pytest.mark.parametrize("lock", ["service.txt", "all.txt", "dev.txt", "lowest.txt"])
def test_every_lock_has_all_that_is_needed_in_a_version_that_will_do(lock):
    held = locked(lock)
    assert [each.name for each in NEEDED if not all(map(each.specifier.contains, held[each.name]))] == []


@pytest.mark.parametrize("lock", ["service.txt", "all.txt"])
def test_what_runs_is_what_is_tried(lock):
    tried = locked("dev.txt")
    assert {name: held for name, held in locked(lock).items() if name in tried and held != tried[name]} == {}


def test_no_lock_names_where_packages_come_from():
    locks = [*(ROOT / ".ci" / "lock").iterdir(), ROOT / "tests" / "clients" / "package-lock.json"]
    assert [each.name for each in locks if "://" in each.read_text()] == []
