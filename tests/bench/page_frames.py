"""How smoothly the page moves: times of frames while it scrolls and while its day is changed. Run by hand.

``python tests/bench/page_frames.py [PUPAE …]``; needs Chromium and playwright, as tests/browser does. Frames
are those of a phone's window (390 × 844) without a graphics card: a phone with one is quicker.
"""

import statistics
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "browser"))

from chromium import chromium
from page_world import PageData, butterfly_house, porch, thousands

from planner.report.page.document import page as page_text

RUNS = 3  # the best of them is told
# Scrolls by a fast flick, 60 px a frame, and notes when each frame was begun.
SCROLL = """async () => {
  const times = [];
  const end = Math.min(document.documentElement.scrollHeight - innerHeight, 60 * 400);
  for (let y = 0; y < end; y += 60) {
    scrollTo(0, y);
    times.push(await new Promise(requestAnimationFrame));
  }
  return times.slice(1).map((t, i) => t - times[i]);
}"""
SLIDE = """async () => {
  const slider = document.getElementById('slider');
  const times = [];
  for (let day = 0; day <= Number(slider.max); day += 1) {
    const start = performance.now();
    slider.value = day;
    slider.dispatchEvent(new Event('input', {bubbles: true}));
    await new Promise(requestAnimationFrame);
    await new Promise(requestAnimationFrame);
    times.push(performance.now() - start);
  }
  return times;
}"""


def worlds(numbers: list[int]) -> dict[str, PageData]:
    return {str(n): thousands(n) for n in numbers} or {
        "35": porch(),
        "600": butterfly_house(),
        "5000": thousands(),
    }


def measured(browser, address: str) -> tuple[float, list[float], list[float]]:
    """Seconds until it can be used, and ms of each frame while it scrolls and of each change of day."""
    tab = browser.new_page(viewport={"width": 390, "height": 844})
    start = time.perf_counter()
    tab.goto(address)
    ready = time.perf_counter() - start
    tab.click("button[data-part=rack]")
    tab.wait_for_timeout(300)
    found = ready, tab.evaluate(SCROLL), tab.evaluate(SLIDE)
    tab.close()
    return found


def told(times: list[float]) -> str:
    times = sorted(times)
    return f"{statistics.median(times):.1f} / {times[int(len(times) * 0.95)]:.1f} / {times[-1]:.1f}"


def main() -> None:
    print("pupae | made, s | kB | ready, s | scrolling: ms median / 95 % / worst | another day: likewise")
    with chromium() as browser, tempfile.TemporaryDirectory() as folder:
        for name, data in worlds([int(a) for a in sys.argv[1:]]).items():
            start = time.perf_counter()
            text = page_text(data)
            made = time.perf_counter() - start
            file = Path(folder) / "page.html"
            file.write_text(text, encoding="utf-8")
            runs = [measured(browser, file.as_uri()) for _ in range(RUNS)]
            ready = min(run[0] for run in runs)
            scrolling, sliding = (min((run[k] for run in runs), key=sum) for k in (1, 2))
            size = len(text.encode()) / 1000
            print(f"{name} | {made:.2f} | {size:.0f} | {ready:.2f} | {told(scrolling)} | {told(sliding)}")


if __name__ == "__main__":
    main()
