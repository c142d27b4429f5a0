"""What all tests share: when a test may be skipped, and how hypothesis draws its examples.

``LAB_FULL=1`` asks for the full run: every case, and nothing skipped. A test marked
``spice`` needs ``ngspice`` on the path.
"""

import os
import shutil

import hypothesis
import pytest

FULL = os.environ.get("LAB_FULL", "") == "1"

# No test waits for tables, or shares its cores with a process that builds them.
os.environ["LAB_AHEAD"] = "off"

hypothesis.settings.register_profile("lab", deadline=None, derandomize=True)
hypothesis.settings.load_profile("lab")


def pytest_runtest_setup(item):
    """Skip what the reference simulator answers where there is no such simulator."""
    if item.get_closest_marker("spice") and shutil.which("ngspice") is None:
        pytest.skip("ngspice is not on the path")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item):
    """Make a skipped test a failed one in the full run."""
    report = yield
    if FULL and report.skipped and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"{item.nodeid}: skipped, and LAB_FULL=1 forbids it: {report.longrepr}"
    return report
