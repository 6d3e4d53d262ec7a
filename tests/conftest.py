"""Examples of laws are drawn from a fixed seed. In CI nothing is skipped: a missing browser or R is a failure there, a skip elsewhere."""

import os

import pytest
from hypothesis import settings

settings.register_profile("seeded", derandomize=True, deadline=None)
settings.load_profile("seeded")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: pytest.CallInfo):  # noqa: ARG001
    report = yield
    if report.skipped and os.environ.get("CI") and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"skipped in CI: {report.longrepr}"
    return report
