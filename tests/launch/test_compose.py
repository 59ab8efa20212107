"""The form of docker-compose.yml: no engine is needed to see that its names are the program's."""

import ast
import re
from typing import Any

import pytest
import yaml

from shopapi.config.launch.install import PANGO_DEBIAN
from shopapi.config.launch.place import ROOT

OWN = ("migrate", "web", "worker", "beat")


@pytest.fixture(scope="module")
def compose() -> dict[str, Any]:
    loaded: dict[str, Any] = yaml.safe_load((ROOT / "docker-compose.yml").read_text())
    return loaded


def names_read_by_settings() -> set[str]:
    """Every literal name that settings.py looks up in the environment."""
    tree = ast.parse((ROOT / "shopapi/config/settings.py").read_text())
    names = {"DJANGO_SETTINGS_MODULE"}
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and node.args and isinstance(node.args[0], ast.Constant):
            called = ast.unparse(node.func)
            if called in {"_need", "_flag", "_whole", "_database", "os.environ.get"}:
                names.add(str(node.args[0].value))
    return names


def test_services(compose: dict[str, Any]) -> None:
    assert set(compose["services"]) == {"postgres", "valkey", *OWN, "front"}


def test_every_setting_given_is_one_that_is_read(compose: dict[str, Any]) -> None:
    read = names_read_by_settings()
    assert {"SECRET_KEY", "DATABASE_URL", "MIGRATE_DATABASE_URL", "REDIS_URL", "DRAWBAR_DATA"} <= read
    for name in OWN:
        assert set(compose["services"][name]["environment"]) <= read, name


def test_images_are_pinned_to_a_version(compose: dict[str, Any]) -> None:
    images = [service["image"] for service in compose["services"].values()]
    dockerfile = compose["services"]["migrate"]["build"]["dockerfile_inline"]
    images += re.findall(r"^FROM (\S+)", dockerfile, re.MULTILINE)
    assert len(images) == 9
    for image in images:
        assert re.search(r":\d", image), image


def test_only_the_one_shot_signs_in_as_owner(compose: dict[str, Any]) -> None:
    with_owner = {name for name, service in compose["services"].items() if "drawbar_owner" in yaml.safe_dump(service)}
    assert with_owner == {"migrate"}


def test_volumes_configs_and_dependencies_exist(compose: dict[str, Any]) -> None:
    for name, service in compose["services"].items():
        for volume in service.get("volumes", []):
            assert volume.split(":")[0] in compose["volumes"], name
        for config in service.get("configs", []):
            assert config["source"] in compose["configs"], name
        assert set(service.get("depends_on", [])) <= set(compose["services"]), name
    assert (ROOT / compose["configs"]["roles"]["file"]).is_file()


def test_image_copies_only_what_the_ignore_file_lets_in(compose: dict[str, Any]) -> None:
    let_in = {line[1:] for line in (ROOT / ".dockerignore").read_text().splitlines() if line.startswith("!")}
    dockerfile = compose["services"]["migrate"]["build"]["dockerfile_inline"]
    copied = re.findall(r"^COPY (?!--from)((?:\S+ )+)\S+$", dockerfile, re.MULTILINE)
    assert copied
    for source in " ".join(copied).split():
        assert source == "." or source.split("/")[0] in let_in, source
        assert (ROOT / source).exists(), source


def test_packages_named_are_the_launchers(compose: dict[str, Any]) -> None:
    assert " ".join(PANGO_DEBIAN) in compose["services"]["migrate"]["build"]["dockerfile_inline"]
