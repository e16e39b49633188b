"""axe-core for the pages of a browser: the release that axe-core.pin names, where tests/install could get it, else the one that
Chromium's own developer tools carry for their audits (Debian's does). It is put in through the driver, as axe's own bindings for
selenium do, so the policy of the pages stays as strict as it is.
"""
import base64
import hashlib
import os
import re
import tarfile
import urllib.error
import urllib.request
from pathlib import Path

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa", "best-practice"]
# Where Chromium shows its developer tools to a driver.
AUDITS = "/devtools/third_party/lighthouse/lighthouse-dt-bundle.js"


def pinned(folder):
    """The release that the pin names, from the file of the package that came; None where none came."""
    name, version, integrity = (Path(__file__).parent / "axe-core.pin").read_text().split()
    package = Path(folder) / f"{name}-{version}.tgz"
    if not package.exists():
        return None
    method, wanted = integrity.split("-", 1)
    if base64.b64encode(hashlib.new(method, package.read_bytes()).digest()).decode() != wanted:
        raise SystemExit(f"{package} is not what axe-core.pin names: its {method} differs")
    with tarfile.open(package) as members:
        return members.extractfile("package/axe.min.js").read().decode()


def bundled(driver):
    """The one in Chromium's developer tools, a text in a script of theirs; None where there is none."""
    address = driver.capabilities["goog:chromeOptions"]["debuggerAddress"]
    try:
        with urllib.request.urlopen(f"http://{address}{AUDITS}", timeout=30) as answer:
            script = answer.read().decode()
    except urllib.error.HTTPError as refused:
        print(f"{AUDITS}: {refused}")
        return None
    literal = re.search(r"`/\*! axe v(?:\\.|[^`\\])*`", script, re.S)
    return driver.execute_script(f"return {literal[0]}") if literal else None


class Axe:
    """Looks at the page that is open. `version` is None where there is no axe."""

    def __init__(self, driver):
        self.driver, self.version = driver, None
        source, self.whence = pinned(os.environ.get("TRAYPROOF_AXE", "")), "the release that axe-core.pin names"
        if source is None:
            source, self.whence = bundled(driver), "from Chromium's developer tools"
        driver.set_script_timeout(120)  # a full page on a machine that does much else
        if source is not None:
            driver.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": source})
            driver.get("about:blank")
            self.version = driver.execute_script("return axe.version")

    def look(self, rules=None):
        """What breaks a rule and what is left to a person, a line for each place; how many rules pass. By the rules named, or by
        all that have one of TAGS."""
        found = self.driver.execute_async_script("""
            const [only, done] = arguments;
            const told = (rules) => rules.flatMap((rule) => rule.nodes.map((node) => ({
              rule: rule.id, impact: node.impact ?? rule.impact, html: node.html.slice(0, 160),
              why: [...node.any, ...node.all, ...node.none].map((one) => one.message).join(" ")})));
            axe.run(document, {runOnly: only, resultTypes: ["violations", "incomplete"], selectors: false})
              .then((found) => done({violations: told(found.violations), incomplete: told(found.incomplete), passes: found.passes.length}),
                    (error) => done({failed: String(error)}));""", {"type": "rule", "values": rules} if rules else {"type": "tag", "values": TAGS})
        if "failed" in found:
            raise SystemExit(f"axe failed on {self.driver.current_url}: {found['failed']}")
        return found
