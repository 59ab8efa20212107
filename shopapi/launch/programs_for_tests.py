"""Programs that some tests need besides what runs the product, installed where that can be done from here."""

import shutil
from dataclasses import dataclass
from pathlib import Path

from shopapi.launch.console import say, step
from shopapi.launch.install import can_install_debian, install_debian


@dataclass(frozen=True)
class ProgramsForTests:
    """Programs of one purpose. Each is given by the names that it may have; the first that is found is taken."""

    purpose: str
    programs: tuple[tuple[str, ...], ...]
    debian: tuple[str, ...]
    elsewhere: str = ""

    def find(self) -> tuple[str, ...]:
        """The path of each program; nothing if one is missing."""
        found = tuple(next(filter(None, map(shutil.which, names)), None) for names in self.programs)
        return tuple(path for path in found if path) if all(found) else ()

    def missing(self) -> str:
        """What a person reads when they are not there."""
        install = f"Debian/Ubuntu: apt-get install {' '.join(self.debian)}{self.elsewhere}"
        return (
            f"{self.purpose} need programs that are not here, and will fail without them. Install them and run "
            f"the same command again: {install}."
        )

    def ensure(self, log: Path) -> None:
        """Install them where that can be done from here, else say what is missing."""
        if not self.find() and can_install_debian():
            with step(f"Installing what {self.purpose[0].lower()}{self.purpose[1:]} need (Debian, first time only)"):
                install_debian(self.debian, log).require(f"installing {', '.join(self.debian)}")
        if not self.find():
            say(self.missing())


# The engine of every iPhone, and the screen that its window needs.
WEBKIT = ProgramsForTests(
    "The tests in WebKit", (("WebKitWebDriver",), ("Xvfb",)), ("webkit2gtk-driver", "xvfb"), "; on Linux only"
)
FIREFOX = ProgramsForTests("The tests in Firefox", (("firefox-esr", "firefox"),), ("firefox-esr",))
# Debian puts it where only root looks.
PGBOUNCER = ProgramsForTests(
    "The tests through PgBouncer",
    (("pgbouncer", "/usr/sbin/pgbouncer"),),
    ("pgbouncer",),
    "; macOS: brew install pgbouncer",
)
ALL = (WEBKIT, FIREFOX, PGBOUNCER)
