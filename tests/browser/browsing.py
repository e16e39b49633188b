"""A real Chromium at a desk of the real program: Debian's own chromium and chromedriver, driven by python3-selenium."""
import base64
import json
import sys
import tempfile
import time
from pathlib import Path

from selenium import webdriver
from selenium.common.exceptions import TimeoutException
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import WebDriverWait

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "desk"))
from running import Desk, check, finish  # noqa: E402, F401

pictures = Path(sys.argv[2]) if len(sys.argv) > 2 else Path(tempfile.mkdtemp())
pictures.mkdir(parents=True, exist_ok=True)
WIDTHS = {"phone": (360, 780), "desk": (1440, 900)}


class Window:
    def __init__(self, desk, width="desk"):
        options = webdriver.ChromeOptions()
        options.binary_location = "/usr/bin/chromium"
        for one in ("--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--force-device-scale-factor=1",
                    "--disable-background-networking", "--no-first-run", "--disable-component-update", "--hide-scrollbars"):
            options.add_argument(one)
        options.set_capability("goog:loggingPrefs", {"performance": "ALL", "browser": "ALL"})
        self.desk = desk
        self.driver = webdriver.Chrome(service=Service("/usr/bin/chromedriver"), options=options)
        self.driver.set_page_load_timeout(60)
        self.wide(width)

    def wide(self, width):
        self.across(*WIDTHS[width])

    def across(self, wide, high=780):
        """So many pixels across, as a telephone or as a desk shows it."""
        self.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride",
                                    {"width": wide, "height": high, "deviceScaleFactor": 1, "mobile": wide < 1000})

    def go(self, address):
        self.driver.get(f"http://127.0.0.1:{self.desk.port}{address}")
        return self

    @property
    def path(self):
        return self.driver.execute_script("return location.pathname + location.search")

    def find(self, selector):
        return self.driver.find_element(By.CSS_SELECTOR, selector)

    def all(self, selector):
        return self.driver.find_elements(By.CSS_SELECTOR, selector)

    def keys(self, *keys):
        """To whatever has the focus, as a keyboard or a scanner does."""
        ActionChains(self.driver, duration=0).send_keys(*keys).perform()

    def scan(self, code):
        self.keys(code + Keys.ENTER)

    def focused(self):
        return self.driver.execute_script("return document.activeElement.name || document.activeElement.id || document.activeElement.tagName")

    def tab_to(self, selector, most=80):
        """By the Tab key alone."""
        wanted = self.find(selector)
        for _ in range(most):
            if self.driver.switch_to.active_element == wanted:
                return wanted
            self.keys(Keys.TAB)
        raise SystemExit(f"{selector} is not reached by Tab on {self.path}")

    def until(self, true, seconds=90):
        try:
            return WebDriverWait(self.driver, seconds).until(lambda _: true())
        except TimeoutException:
            print(f"waited in vain on {self.path}:\n{self.find('main').text[:2000]}")
            raise

    def picture(self, name):
        """The whole page at both widths."""
        for width in WIDTHS:
            self.wide(width)
            time.sleep(0.1)
            high = self.driver.execute_script("return document.documentElement.scrollHeight")
            wide = self.driver.execute_script("return document.documentElement.scrollWidth")
            check(f"{name} fits into {width}", wide <= WIDTHS[width][0])
            shot = self.driver.execute_cdp_cmd("Page.captureScreenshot", {
                "captureBeyondViewport": True, "clip": {"x": 0, "y": 0, "width": WIDTHS[width][0], "height": min(high, 6000), "scale": 1}})
            (pictures / f"{name}-{width}.png").write_bytes(base64.b64decode(shot["data"]))
        self.wide("desk")

    def requests(self):
        """Every address that was asked for."""
        found = []
        for line in self.driver.get_log("performance"):
            message = json.loads(line["message"])["message"]
            if message["method"] == "Network.requestWillBeSent":
                found.append(message["params"]["request"]["url"])
        return found

    def complaints(self):
        """What the browser complains of: refused scripts and styles, errors of our own."""
        return [line["message"] for line in self.driver.get_log("browser") if line["level"] == "SEVERE"]

    def close(self):
        self.driver.quit()


def enrol(window, desk, label="labour room"):
    code = desk.run("station", "add", label)["code"]
    window.go("/station")
    window.find("[name=code]").send_keys(code + Keys.ENTER)
    window.until(lambda: window.path.startswith("/sign-in"))


def tap(window, person):
    window.go("/sign-in")
    window.find(f"form[action='/name'] input[value={person}] ~ button").click()
    window.until(lambda: not window.path.startswith("/sign-in"))
