"""Browser tests run where Chromium is, and only when LAB_BROWSER=1 asks for them."""

import os
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, expect, sync_playwright

from tests.browser.serving import ARGUMENTS, CHROMIUM

_WANTED = os.environ.get("LAB_BROWSER") == "1"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    if _WANTED and CHROMIUM.exists():
        return
    reason = f"set LAB_BROWSER=1, with Chromium at {CHROMIUM}"
    for item in items:
        if item.get_closest_marker("browser"):
            item.add_marker(pytest.mark.skip(reason=reason))


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    expect.set_options(timeout=20_000)
    with sync_playwright() as playwright:
        launched = playwright.chromium.launch(executable_path=CHROMIUM, args=list(ARGUMENTS))
        yield launched
        launched.close()
