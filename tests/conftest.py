"""What all the tests share: generated inputs are the same in every run, and a slow machine is no failure.

Two kinds of test need what a machine may lack: PostgreSQL beside SQLite for the records, Chromium for the pages. The
first lines of a run say what is tried. With CI set nothing is left out: without them the run fails.
"""

import gc
import os
import shutil

from hypothesis import settings

settings.register_profile("house", derandomize=True, deadline=None, max_examples=50, print_blob=True)
settings.load_profile("house")

# An evaluation makes very many objects that live on as long as it does. Looking through all of them for what has gone,
# as often as Python does by itself, takes a tenth of the time.
gc.set_threshold(20_000, 20, 20)

BY_BROWSER = ("web/test_line_browser.py", "web/test_look.py")
SERVER = "ASSAYWRIGHT_TEST_POSTGRESQL"
IN_CI = "CI" in os.environ
BROWSER = shutil.which("chromium")
collect_ignore = [] if BROWSER or IN_CI else list(BY_BROWSER)


def pytest_report_header():
    told = ["records: tried on SQLite and PostgreSQL" if SERVER in os.environ or IN_CI
            else f"records: tried on SQLite alone, NOT on PostgreSQL, since {SERVER} names no server"]
    told.append("pages: tried in Chromium" if BROWSER or IN_CI
                else f"pages: NOT tried in a browser, for there is no Chromium ({', '.join(BY_BROWSER)} left out)")
    return told
