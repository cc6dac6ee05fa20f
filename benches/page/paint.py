"""How long until a page is painted, and until a typed word is read, in Chromium with a record of 100,000 findings.

    .tools/page/run benches/page/paint.py [FINDINGS]

Each page is opened ten times; the times are the browser's own (first contentful paint, from the start of the navigation), the middle
one and the longest. It measures and fails nothing.
"""

import os
import pathlib
import statistics
import subprocess
import sys
import tempfile

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[2] / "tests/outside/page"))
import browser
import scene

TIMES = 10
PAINT = """
const done = arguments[arguments.length - 1];
new PerformanceObserver((list) => {
  for (const one of list.getEntriesByName("first-contentful-paint")) done(one.startTime);
}).observe({type: "paint", buffered: true});
"""
# From the key to the sentence that it is read as.
TYPED = """
const done = arguments[arguments.length - 1];
const words = document.getElementById("words"), reads = document.querySelector(".reads");
const began = performance.now();
new MutationObserver(() => done(performance.now() - began)).observe(reads, {childList: true, characterData: true, subtree: true});
words.value = arguments[0];
words.dispatchEvent(new Event("input"));
"""


def write(path, findings):
    """Clients of five visits with the findings of the scene over and over."""
    lines = scene.Lines()
    words = [said for _, of_visit in scene.VISITS for said in of_visit]
    read = scene.read(browser.COUCHSIDE, words)
    lines.act("2020-01-01T08:00:00.000Z", "record made", program="benchmark")
    number, visit, client = 0, 0, 0
    while number < findings:
        client += 1
        lines.act("2020-01-01T08:00:00.000Z", "client added", client=client, code=f"P-{client}")
        for month in range(1, 6):
            visit += 1
            date = f"2026-{month:02}-10"
            lines.act(f"{date}T09:00:00.000Z", "visit opened", visit=visit, client=client, date=date)
            for said, finding in zip(words[:20], read):
                number += 1
                at, common = f"{date}T09:30:00.000Z", {"visit": visit, "finding": finding}
                lines.act(at, "proposed", proposal=number, **common, heard=said, model="m", grammar="g")
                lines.act(at, "confirmed", id=number, proposal=number, **common)
    path.write_text("\n".join(lines.lines) + "\n", encoding="utf-8")
    return client, visit


def main():
    findings = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    with tempfile.TemporaryDirectory() as outer:
        outer = pathlib.Path(outer)
        print(f"making a record of {findings} findings")
        client, visit = write(outer / "lines.jsonl", findings)
        home = outer / "home"
        environment = dict(os.environ, COUCHSIDE_HOME=str(home), COUCHSIDE_PASSPHRASE=browser.WORDS)
        importing = [browser.COUCHSIDE, "record", "import", str(outer / "lines.jsonl")]
        subprocess.run(importing, env=environment, check=True, stdout=subprocess.DEVNULL)
        pages = {
            "the clients": "/",
            "a case": f"/client/P-{client}",
            "a visit": f"/client/P-{client}/visit/{visit}",
            "a finding": f"/finding/{findings}",
            "a search": "/search?q=right+hip+internal+rotation+%3C+30",
        }
        print("page           first paint, ms: middle, longest")
        with browser.Program(home, "page", "--no-open") as program, browser.Browser((1366, 768), False, None) as window:
            window.driver.get(program.address)
            for name, place in pages.items():
                times = []
                for _ in range(TIMES):
                    window.driver.get(program.root + place)
                    times.append(window.driver.execute_async_script(PAINT))
                print(f"{name:14} {statistics.median(times):15.0f} {max(times):8.0f}")
            window.driver.get(f"{program.root}/finding/{findings}")
            typed = [window.driver.execute_async_script(TYPED, words) for words in ["left", "painful", "left painful"] * 3]
            print(f"typed words are read after {statistics.median(typed):.0f} ms, of which 150 are waited for the next key")


if __name__ == "__main__":
    main()
