#!/usr/bin/env python3
"""The way in: `up`, `test`, and every Django command. See `python3 manage.py help`."""

import sys

# Read by old interpreters too, so nothing newer than Python 3.0 may stand in this file.
if sys.version_info < (3, 11):
    sys.stderr.write(
        "drawbar: this is Python {0}.{1}, Drawbar needs 3.11 or newer: "
        "install it and run it by its name, for example python3.12 manage.py\n".format(*sys.version_info)
    )
    sys.exit(2)

from shopapi.launch.cli import main

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
