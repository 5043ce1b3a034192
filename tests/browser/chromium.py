"""The system's Chromium without a window, driven by playwright; nothing is downloaded."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
HOW = "needs Chromium (Debian: apt-get install chromium) and playwright (pip install '.[browser]')"


def missing() -> str:
    """Empty, or what is to be installed."""
    try:
        import playwright.sync_api  # noqa: F401
    except ImportError:
        return HOW
    return "" if executable() else HOW


def executable() -> str | None:
    return next((path for name in NAMES if (path := shutil.which(name))), None)


@contextmanager
def chromium() -> Iterator[Any]:
    """A browser, closed in the end."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=executable())
        try:
            yield browser
        finally:
            browser.close()
