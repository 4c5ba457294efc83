"""``python -m assaywright`` is the command line."""

import sys

from assaywright.cli import main

if __name__ == "__main__":  # not in a process that the server starts beside itself
    sys.exit(main())
