"""A headless browser with a pocket page in it."""

import os
import shutil
from contextlib import contextmanager

import pytest

ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
READ_BOOK = """async () => {
  globalThis.BOOK = opened(await unfolded(document.getElementById("book").textContent));
}"""


@contextmanager
def browser():
    """A browser: that of LIGHTOFF_BROWSER, which must start, or one that is installed."""
    path = os.environ.get("LIGHTOFF_BROWSER") or shutil.which("chromium")
    if not path:
        pytest.skip("no browser: install chromium, or name one in LIGHTOFF_BROWSER")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        opened = driver.chromium.launch(executable_path=path, args=list(ARGUMENTS))
        try:
            yield opened
        finally:
            opened.close()


def phone(opened, file, **settings):
    """A page as it is on a phone held upright, with the file in it."""
    settings = {"viewport": {"width": 360, "height": 740}, **settings}
    page = opened.new_context(**settings).new_page()
    page.goto(file.as_uri())
    page.wait_for_selector("#screen button")
    return page
