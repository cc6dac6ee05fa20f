"""The page in a real browser (Debian's Chromium through chromedriver): a session is watched live, a finding is corrected, the
visit signed, the case looked at and searched; every page is checked with axe-core (WCAG 2.2, A and AA) at two sizes, light and dark.

    .tools/page/run tests/outside/page/browser.py [FOLDER]     FOLDER: where pictures of the screens are kept, else nowhere
"""

import importlib.util
import json
import os
import pathlib
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time

from selenium import webdriver
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import WebDriverWait

sys.path.insert(0, str(pathlib.Path(__file__).parent))
import scene

ROOT = pathlib.Path(__file__).resolve().parents[3]
COUCHSIDE = str(ROOT / os.environ.get("COUCHSIDE", "target/release/couchside"))
AXE = next(
    pathlib.Path(importlib.util.find_spec("axe_playwright_python").submodule_search_locations[0]).glob("**/axe.min.js")
).read_text(encoding="utf-8")
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
# A small laptop, and a tablet on a stand.
SIZES = [(1366, 768), (820, 1180)]
WORDS = "a throw-away passphrase"


class Program:
    """couchside, serving a page of its own record; ends with the `with`."""

    def __init__(self, home, *words, locked=False):
        environment = dict(os.environ, COUCHSIDE_HOME=str(home), COUCHSIDE_PASSPHRASE=WORDS, BROWSER="/bin/true")
        environment.pop("COUCHSIDE_PASSPHRASE_FILE", None)
        if locked:
            del environment["COUCHSIDE_PASSPHRASE"]
        self.events = []
        self.seen = threading.Event()
        self.process = subprocess.Popen(
            [COUCHSIDE, *words], env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
        )
        self.address = None
        threading.Thread(target=self.read, daemon=True).start()
        if not self.seen.wait(60):
            raise SystemExit("couchside printed no address")

    def read(self):
        for line in self.process.stdout:
            if self.address is None and "http://" in line:
                self.address = line[line.index("http://"):].strip()
                self.seen.set()
            elif line.startswith("{"):
                self.events.append((time.time(), json.loads(line)))

    @property
    def root(self):
        return self.address.split("/enter")[0]

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.process.send_signal(signal.SIGTERM)
        self.process.wait(20)


class Browser:
    """Chromium of one size, light or dark."""

    def __init__(self, size, dark, folder):
        self.size, self.dark, self.folder = size, dark, folder
        options = webdriver.ChromeOptions()
        for word in ["--headless=new", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--disable-dev-shm-usage"]:
            options.add_argument(word)
        options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
        self.driver = webdriver.Chrome(options=options, service=Service(shutil.which("chromedriver")))
        scheme = [{"name": "prefers-color-scheme", "value": "dark" if dark else "light"}]
        self.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": scheme})
        self.resize(size[1])

    def resize(self, height):
        metrics = {"width": self.size[0], "height": height, "deviceScaleFactor": 1, "mobile": False}
        self.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.driver.quit()

    def find(self, selector):
        return WebDriverWait(self.driver, 20).until(lambda driver: driver.find_element(By.CSS_SELECTOR, selector))

    def wait_for(self, text, seconds=20):
        def there(driver):
            return text in driver.execute_script("return document.body ? document.body.innerText : ''")

        WebDriverWait(self.driver, seconds).until(there, f"“{text}” did not appear on {self.driver.current_url}")

    def check(self, name):
        """Nothing inaccessible, nothing too wide, nothing in the console; and a picture."""
        self.driver.execute_script(AXE)
        found = self.driver.execute_async_script(
            "const done = arguments[arguments.length - 1];"
            "axe.run(document, {runOnly: {type: 'tag', values: arguments[0]}}).then(done)",
            RULES,
        )
        broken = [(rule["id"], rule["help"], [node["target"] for node in rule["nodes"]]) for rule in found["violations"]]
        assert not broken, f"{name}: {broken}"
        assert len(found["passes"]) > 5, f"{name}: axe-core checked next to nothing"
        wide = self.driver.execute_script("return document.documentElement.scrollWidth")
        assert wide <= self.size[0], f"{name}: {wide} wide on a screen of {self.size[0]}"
        said = [entry["message"] for entry in self.driver.get_log("browser")]
        assert not said, f"{name}: {said}"
        if self.folder:
            height = self.driver.execute_script("return document.documentElement.scrollHeight")
            self.resize(min(height, 4000))
            self.driver.save_screenshot(str(self.folder / f"{name}-{self.size[0]}-{'dark' if self.dark else 'light'}.png"))
            self.resize(self.size[1])


def everything(program, browser):
    """Every page looked at."""
    browser.driver.get(program.address)
    pages = {
        "clients": "/",
        "case": f"/client/{scene.CLIENT}",
        "about": f"/client/{scene.CLIENT}/about",
        "visit-signed": f"/client/{scene.CLIENT}/visit/1",
        "visit": f"/client/{scene.CLIENT}/visit/3",
        "finding": "/finding/3",
        "search": "/search?q=hip+internal+rotation+%3C+30",
        "search-nothing": "/search?q=zebra",
        "live-nobody": "/live",
        "no-such-page": "/nowhere",
    }
    for name, place in pages.items():
        browser.driver.get(program.root + place)
        if name == "no-such-page":
            browser.driver.get_log("browser")  # that it is not there is said in the console, too
        browser.check(name)
    browser.driver.get(f"{program.root}/client/{scene.CLIENT}")
    for selector in [".bars", ".lines"]:
        size = browser.find(selector).size
        assert size["width"] > 300 and size["height"] > 60, f"{selector} is drawn {size}"
    browser.find(".body a[aria-label='right hip: 2 findings']").click()
    browser.wait_for("Only: right hip")
    browser.check("case-only")
    browser.driver.get(f"{program.root}/client/{scene.CLIENT}")
    lines = len(browser.driver.find_elements(By.CSS_SELECTOR, ".lines"))
    assert lines == 3, f"{lines} movements over time, should be flexion, internal rotation and abduction"


def review(program, browser):
    """A finding is corrected, undone, corrected by keyboard alone, and the visit signed."""
    driver = browser.driver
    driver.get(program.address)
    driver.get(f"{program.root}/client/{scene.CLIENT}/visit/3")
    browser.find("#finding-16 a.button").click()
    browser.find("#words").send_keys("one hundred and twelve")
    browser.wait_for("It is read as: Right hip flexion, active, 112 degrees, no pain.")
    browser.check("finding-typed")
    browser.find("form[data-reads] button[type=submit]").click()
    browser.wait_for("Finding 16 was changed. Before: Right hip flexion, active, 118 degrees")
    browser.check("visit-changed")
    browser.find(".undo button").click()
    browser.wait_for("Right hip flexion, active, 118 degrees")
    # By keyboard: to the first "Change", its field, and Enter.
    driver.get(f"{program.root}/client/{scene.CLIENT}/visit/3")
    for _ in range(40):
        driver.switch_to.active_element.send_keys(Keys.TAB)
        if "Change" in driver.switch_to.active_element.text:
            break
    driver.switch_to.active_element.send_keys(Keys.ENTER)
    browser.find("#words")
    time.sleep(0.3)
    driver.switch_to.active_element.send_keys("painful", Keys.ENTER)
    browser.wait_for("Right hip flexion, active, 118 degrees, painful.")
    browser.find("form.sign button").click()
    browser.wait_for("Signed off")
    driver.get(f"{program.root}/search")
    browser.find("#q").send_keys("right hip flexion painful", Keys.ENTER)
    browser.wait_for("Findings 1 to 3")


def live(home, browser):
    """A recorded session is watched; then a finding is typed and confirmed by touch, and the listening stopped."""
    recording = ROOT / "audio-samples/knee-and-hip-assessment/speech.wav"
    words = ["listen", "--client", "demo-1", "--page", "--json", "--realtime", "--keep-sound", "--from", str(recording)]
    with Program(home, *words) as program:
        driver = browser.driver
        driver.get(program.address)
        driver.execute_script(
            "window.drawn = []; new MutationObserver(() => drawn.push([Date.now() / 1000, board.textContent]))"
            ".observe(board, {childList: true})"
        )
        begun = time.time()
        browser.check("live-begun")
        WebDriverWait(driver, 90).until(lambda d: d.find_elements(By.CSS_SELECTOR, ".done"))
        browser.check("live-recorded")
        browser.find("#words").send_keys("left shoulder abduction active one sixty")
        browser.find("form[data-reads] button").click()
        browser.wait_for("Left shoulder abduction, active, 160 degrees.")
        browser.check("live-waiting")
        late = lateness(begun, program.events, driver.execute_script("return drawn"))
        print(f"  live: {len(late)} read-backs on the screen {max(late) * 1000:.0f} ms after their event at the latest")
        browser.find(".stop").click()
        browser.wait_for("Not listening")
        browser.check("live-ended")
        everything_heard(program, browser)


def everything_heard(program, browser):
    """Talk is folded away and can be written as a finding; a clip plays; what can't be listened with is told."""
    driver = browser.driver
    driver.get(f"{program.root}/client/demo-1/visit/1")
    browser.find("#all-heard > summary").click()
    browser.find("#all-heard li details summary").click()
    browser.check("visit-heard")
    played = driver.execute_async_script(
        "const done = arguments[arguments.length - 1], clip = document.querySelector('ol.items audio');"
        "clip.addEventListener('ended', () => done(clip.duration));"
        "clip.addEventListener('error', () => done(clip.error.message)); clip.play().catch((why) => done(String(why)))"
    )
    assert isinstance(played, (int, float)) and 0.5 < played < 10, f"the clip of the first finding: {played}"
    talk = len(driver.find_elements(By.CSS_SELECTOR, "button[data-aside]:not([data-aside='0'])"))
    browser.find("#all-heard li details button.take").click()
    field = browser.find("#words")
    field.clear()
    field.send_keys("left ankle dorsiflexion active twelve")
    browser.wait_for("It is read as: Left ankle dorsiflexion, active, 12 degrees.")
    field.submit()
    browser.wait_for("was added.")
    left = len(driver.find_elements(By.CSS_SELECTOR, "button[data-aside]:not([data-aside='0'])"))
    assert left == talk - 1, f"{left} of {talk} times talk are left"
    driver.get(f"{program.root}/client/demo-1")
    browser.check("case-listen")
    browser.find("form.listen button").click()
    browser.wait_for("couchside does not listen: no microphone was found")
    driver.get_log("browser")  # that it was refused is said in the console, too
    browser.check("no-microphone")


def lateness(begun, events, drawn):
    """How long after the event of a sentence was printed the sentence was on the board, in seconds."""
    late = []
    for at, event in events:
        if event["event"] == "said" and at > begun:
            shown = [when - at for when, text in drawn if event["text"] in text and when >= at - 0.05]
            late += shown[:1]
    assert late, "nothing that was said was drawn"
    return late


def first_run(home, browser):
    """Without a record; then the passphrase, wrong and right."""
    with Program(home, "page", "--no-open", locked=True) as program:
        driver = browser.driver
        driver.get(program.address)
        browser.wait_for("There is no record yet")
        browser.check("first-run")
        for field in ["#words", "#again"]:
            browser.find(field).send_keys(WORDS)
        browser.find("main button").click()
        browser.wait_for("There is no client yet")
        browser.check("no-client")
        browser.find(".bar button").click()
        browser.wait_for("The record is locked")
        browser.find("#words").send_keys("another", Keys.ENTER)
        browser.wait_for("does not open this record")
        browser.check("wrong-passphrase")
        browser.find("#words").send_keys(WORDS, Keys.ENTER)
        browser.wait_for("There is no client yet")


def main():
    folder = pathlib.Path(sys.argv[1]) if len(sys.argv) > 1 else None
    if folder:
        folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as outer:
        outer = pathlib.Path(outer)
        lines, home = outer / "scene.jsonl", outer / "scene"
        scene.write(COUCHSIDE, lines)
        environment = dict(os.environ, COUCHSIDE_HOME=str(home), COUCHSIDE_PASSPHRASE=WORDS)
        subprocess.run([COUCHSIDE, "record", "import", str(lines)], env=environment, check=True, stdout=subprocess.DEVNULL)
        for size in SIZES:
            for dark in [False, True]:
                with Program(home, "page", "--no-open") as program, Browser(size, dark, folder) as browser:
                    everything(program, browser)
        with Browser(SIZES[0], False, folder) as browser:
            with Program(home, "page", "--no-open") as program:
                review(program, browser)
            first_run(outer / "first", browser)
        subprocess.run(
            [COUCHSIDE, "record", "new"], env=dict(environment, COUCHSIDE_HOME=str(outer / "live")), check=True, stdout=subprocess.DEVNULL
        )
        with Browser(SIZES[1], True, folder) as browser:
            live(outer / "live", browser)
    print("the page in Chromium: every screen passes axe-core and fits; live, correcting, signing and searching work")


if __name__ == "__main__":
    main()
