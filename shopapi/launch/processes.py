"""The processes that run Django: web, worker and beat."""

import http.client
from collections.abc import Mapping

from shopapi.launch.paths import PYTHON, ROOT
from shopapi.launch.supervisor import ProcessSpec

# The wildcard address and the one by which to reach it.
EVERY_ADDRESS = {"0.0.0.0": "127.0.0.1", "::": "::1"}  # noqa: S104


def web(environment: Mapping[str, str], host: str, port: int, origin: str, *, first_page: str = "/") -> ProcessSpec:
    """Gunicorn on an address; ready when it serves `first_page` under the name of `origin`."""
    options = [
        *("--worker-class", "shopapi.config.web_worker.BufferedWorker", "--workers", "2", "--threads", "4"),
        *("--bind", f"[{host}]:{port}" if ":" in host else f"{host}:{port}"),
        *("--graceful-timeout", "10", "--no-control-socket"),
        *("--logger-class", "shopapi.config.logs.WebLog"),
    ]
    return ProcessSpec(
        name="web",
        command=[str(PYTHON), "-m", "gunicorn", *options, "shopapi.config.wsgi:application"],
        # A connection pool for the web alone: it does not survive Celery's forks.
        environment={**environment, "DRAWBAR_POOL": "1"},
        folder=ROOT,
        stop_seconds=15,
        # It took 25 on a busy machine of two cores.
        start_seconds=120,
        ready=lambda: _answers(host, port, origin, first_page),
    )


def worker(environment: Mapping[str, str]) -> ProcessSpec:
    """Celery's worker. SIGTERM lets the current task finish; an interrupted one is sent again by the outbox."""
    options = ["--concurrency", "1", "--loglevel", "INFO", "--without-gossip", "--without-mingle"]
    return ProcessSpec(
        name="worker",
        command=[str(PYTHON), "-m", "celery", "-A", "shopapi.config.celery", "worker", *options],
        environment=environment,
        folder=ROOT,
        stop_seconds=30,
    )


def beat(environment: Mapping[str, str]) -> ProcessSpec:
    options = ["--loglevel", "WARNING", "--pidfile="]
    return ProcessSpec(
        name="beat",
        command=[str(PYTHON), "-m", "celery", "-A", "shopapi.config.celery", "beat", *options],
        environment=environment,
        folder=ROOT,
    )


def _answers(host: str, port: int, origin: str, page: str) -> bool:
    connection = http.client.HTTPConnection(EVERY_ADDRESS.get(host, host), port, timeout=5)
    try:
        connection.request("GET", page, headers={"Host": origin.split("://", 1)[1]})
        return connection.getresponse().status == 200
    except OSError:
        return False
    finally:
        connection.close()
