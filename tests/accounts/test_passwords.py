"""The cost of the password hash."""

import os
import subprocess
import sys

from django.contrib.auth.hashers import Argon2PasswordHasher

from tests.structure.source_tree import ROOT

# OWASP Password Storage Cheat Sheet, Argon2id: 19 MiB and two passes at least. From memory.
LEAST_MEMORY_KIB, LEAST_PASSES = 19 * 1024, 2
HASH = "import django; django.setup(); from django.contrib.auth.hashers import make_password; print(make_password('x'))"


def test_password_is_hashed_at_full_cost_outside_the_tests() -> None:
    done = subprocess.run(
        [sys.executable, "-c", HASH], cwd=ROOT, env=os.environ, check=True, capture_output=True, text=True
    )
    decoded = Argon2PasswordHasher().decode(done.stdout.strip())
    assert decoded["variety"] == "argon2id"
    assert decoded["memory_cost"] >= LEAST_MEMORY_KIB
    assert decoded["time_cost"] >= LEAST_PASSES
