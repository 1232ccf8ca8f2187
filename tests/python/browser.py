"""A headless Chromium of the system's packages, driven by selenium, that opens one page from disk."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from selenium import webdriver
from selenium.common.exceptions import NoSuchElementException
from selenium.webdriver import ActionChains
from selenium.webdriver.chrome.options import Options
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.remote.webelement import WebElement
from selenium.webdriver.support.wait import WebDriverWait

FLAGS = [
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--autoplay-policy=no-user-gesture-required",
    "--force-device-scale-factor=1",
]

# Seconds until a script or a page is given up.
PATIENCE_S = 120


def _found(name: str) -> str:
    """The path of an installed program; a missing one fails the test, it never skips."""
    path = shutil.which(name)
    if path is None:
        pytest.fail(
            f"{name} is not installed (Debian's packages chromium and chromium-driver)", pytrace=False
        )
    return path


class Browser:
    """A browser and what happened in it."""

    def __init__(self, driver: webdriver.Chrome, downloads: Path) -> None:
        self.driver = driver
        self.downloads = downloads

    def open(self, page: Path, width: int = 1440, height: int = 900, dark: bool = False) -> None:
        """Opens a page from disk in a window of this many CSS pixels, as one that was never opened before."""
        self.resize(width, height, dark)
        self.forget("file://")
        self.driver.get(page.resolve().as_uri())

    def forget(self, origin: str) -> None:
        """Takes away what pages from there keep."""
        kept = {"origin": origin, "storageTypes": "local_storage"}
        self.driver.execute_cdp_cmd("Storage.clearDataForOrigin", kept)

    def resize(self, width: int, height: int, dark: bool = False) -> None:
        """Sets the window's inner size, and whether the system is dark."""
        metrics = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False}
        self.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)
        scheme = {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
        self.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": [scheme]})

    def run(self, script: str, *arguments: Any) -> Any:
        """Runs `script`, the body of an async function; what it throws fails the test."""
        wrapped = f"""
            const done = arguments[arguments.length - 1];
            const given = Array.from(arguments).slice(0, -1);
            (async (...given) => {{ {script} }})(...given).then(
                (value) => done({{ value }}), (error) => done({{ error: String(error && error.stack || error) }}));
        """
        answer = self.driver.execute_async_script(wrapped, *arguments)
        assert "error" not in answer, answer["error"]
        return answer.get("value")

    def find(self, selector: str) -> WebElement:
        """The first visible element that a CSS selector finds."""
        return self._first(selector, lambda found: found.is_displayed())

    def find_all(self, selector: str) -> list[WebElement]:
        """All elements that a CSS selector finds."""
        return self.driver.find_elements("css selector", selector)

    def button(self, text: str) -> WebElement:
        """The visible button that says this."""
        return self._first("button", lambda found: found.text == text, text)

    def _first(self, selector: str, fits: Callable[[WebElement], bool], what: str = "visible") -> WebElement:
        for found in self.find_all(selector):
            if fits(found):
                return found
        raise NoSuchElementException(f"{selector}: {what}")

    def wait(self, condition: Callable[[], Any], what: str) -> Any:
        """What `condition` gives, once it gives something that is true."""
        return WebDriverWait(self.driver, PATIENCE_S, 0.05).until(lambda _: condition(), what)

    def press(self, *keys: str) -> None:
        """Presses keys, wherever the focus is."""
        ActionChains(self.driver).send_keys(*keys).perform()

    def requests(self) -> list[str]:
        """The addresses asked for since the last call."""
        messages = [json.loads(entry["message"])["message"] for entry in self.driver.get_log("performance")]
        sent = [message for message in messages if message["method"] == "Network.requestWillBeSent"]
        return [message["params"]["request"]["url"] for message in sent]

    def complaints(self) -> list[str]:
        """What the console said since the last call: errors, warnings, refusals of the policy."""
        return [entry["message"] for entry in self.driver.get_log("browser")]


@contextmanager
def browser(folder: Path, keeps: bool = True) -> Iterator[Browser]:
    """A browser with a profile of its own under `folder`; it can be set to let pages keep nothing."""
    downloads = folder / "downloads"
    downloads.mkdir(parents=True)
    options = Options()
    options.binary_location = _found("chromium")
    for flag in [*FLAGS, f"--user-data-dir={folder / 'profile'}"]:
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"performance": "ALL", "browser": "ALL"})
    prefs: dict[str, str | int] = {"download.default_directory": str(downloads)}
    if not keeps:
        # 2 is "block", for all that Chromium counts as cookies: what pages keep, too.
        prefs["profile.default_content_setting_values.cookies"] = 2
    options.add_experimental_option("prefs", prefs)
    os.environ.setdefault("SE_OFFLINE", "true")
    driver = webdriver.Chrome(options=options, service=Service(_found("chromedriver")))
    driver.set_script_timeout(PATIENCE_S)
    driver.set_page_load_timeout(PATIENCE_S)
    try:
        # Whatever a new window shows has been asked for before the page is.
        driver.get("about:blank")
        driver.get_log("performance")
        yield Browser(driver, downloads)
    finally:
        driver.quit()
