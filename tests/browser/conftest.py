"""A real browser, where there is one, and pages that really run."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Playwright, sync_playwright

from tests.browser.pages_process import PagesProcess, running_pages
from tests.needs import need

ARGUMENTS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
]


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Taps and seconds that tests have counted are shown, whatever came of them."""
    for report in terminalreporter.getreports("passed") + terminalreporter.getreports("failed"):
        if report.when == "call" and report.user_properties:
            terminalreporter.write_line(report.nodeid.rpartition("::")[2])
            for name, value in report.user_properties:
                terminalreporter.write_line(f"    {name}: {value}")


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    with sync_playwright() as running:  # there can be one in a process
        yield running


@pytest.fixture(scope="session")
def browser(playwright: Playwright) -> Iterator[Browser]:
    chromium = need("chromium", "browser")
    running = playwright.chromium.launch(executable_path=chromium, args=ARGUMENTS)
    yield running
    running.close()


@pytest.fixture
def pages(tmp_path: Path) -> Iterator[PagesProcess]:
    with running_pages(tmp_path / "shed") as running:
        yield running


@pytest.fixture
def wall(browser: Browser, pages: PagesProcess) -> Iterator[Page]:
    """The wall on its tablet, open and live."""
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    page = context.new_page()
    page.goto(f"{pages.address}/wall")
    page.wait_for_selector("#wall")
    yield page
    context.close()


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    page = context.new_page()
    yield page
    context.close()
