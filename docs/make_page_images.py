"""The picture in docs/page.md: ``python docs/make_page_images.py``; needs Chromium and playwright."""

import shutil
import subprocess
import sys
import tempfile
from io import BytesIO
from pathlib import Path

from PIL import Image

DOCS = Path(__file__).parent
sys.path.insert(0, str(DOCS.parent / "tests" / "browser"))

from chromium import chromium  # noqa: E402

PICTURE = DOCS / "images" / "page-phone.png"
WHEN = "2027-07-12T12:00"
SIDE_BY_SIDE = """<style>body {{ margin: 0; display: flex; gap: 16px; background: #777 }}</style>{images}"""


def main() -> None:
    """Plan the example, open its page as on a phone, and set four views side by side."""
    with tempfile.TemporaryDirectory() as name, chromium() as browser:
        folder = Path(name)
        season = shutil.copytree(
            DOCS.parent / "examples" / "porch",
            folder / "porch",
            ignore=shutil.ignore_patterns("out", ".*", "plan.yaml"),
        )
        for command in ("plan", "page"):
            call = [sys.executable, "-m", "planner", command, str(season), "--on", WHEN]
            subprocess.run(call, check=True, capture_output=True, cwd=DOCS.parent)
        phone = browser.new_page(viewport={"width": 390, "height": 844})
        phone.clock.set_fixed_time(WHEN)
        phone.goto((season / "out" / "page.html").as_uri())
        shots = []
        for part, days, place in (("day", 3, ""), ("rack", 0, ""), ("rack", 0, "tub-1"), ("moves", 0, "")):
            for _ in range(days):
                phone.click("#after")
            phone.click(f"button[data-part={part}]")
            if place:
                phone.eval_on_selector(f"article[data-place={place}]", "place => place.scrollIntoView()")
            phone.wait_for_timeout(300)
            shots.append(folder / f"{len(shots)}.png")
            phone.screenshot(path=shots[-1])
        frame = folder / "frame.html"
        frame.write_text(SIDE_BY_SIDE.format(images="".join(f'<img src="{s.name}">' for s in shots)))
        wide = browser.new_page(viewport={"width": 4 * 390 + 3 * 16, "height": 844})
        wide.goto(frame.as_uri())
        seen = Image.open(BytesIO(wide.screenshot()))
        # A palette: nothing on the page has a gradient, and the file is a quarter as large.
        seen.convert("RGB").quantize(64, dither=Image.Dither.NONE).save(PICTURE, optimize=True)
    print(f"wrote {PICTURE}")


if __name__ == "__main__":
    main()
