"""``python -m assaywright`` is the command line."""

import sys

from assaywright.cli import main

sys.exit(main())
