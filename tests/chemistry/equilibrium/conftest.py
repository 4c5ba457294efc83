"""The comparison with PHREEQC needs a package that is installed on Linux only (docs/platforms.md says so)."""

import sys

collect_ignore = [] if sys.platform == "linux" else ["test_phreeqc.py"]
