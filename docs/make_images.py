"""Make the pictures of README.md from the very files and command that README.md shows, and those of prints.

Run it after a change of the map, of prints or of README's season: ``python docs/make_images.py``. The prints
are of ``examples/porch`` and need what the tests need: ``pip install '.[test]'``.
"""

from __future__ import annotations

import hashlib
import re
import shlex
import shutil
import struct
import subprocess
import sys
import tempfile
import zlib
from io import BytesIO
from pathlib import Path

README = Path(__file__).parents[1] / "README.md"
PICTURE = Path(__file__).parent / "images" / "readme-map.png"
PRINTS = {  # command: which page, and what of it is shown, parts of its width and height
    "lids": (1, (0.0, 0.0, 1.0, 0.64)),
    "tags --moved --shape fold --qr": (0, (0.0, 0.0, 1.0, 0.4)),
}
_FILE = re.compile(r"^<!-- file: (\S+) -->\n```\w+\n(.*?)^```$", re.MULTILINE | re.DOTALL)
_COMMAND = re.compile(r"^\$ (hangplan plan .*)$", re.MULTILINE)


def sources(readme: str) -> tuple[dict[str, str], str]:
    """The files that README shows with their names, and the first command that plans."""
    command = _COMMAND.search(readme)
    assert command is not None, "README.md shows no plan being made"
    return dict(_FILE.findall(readme)), command[1]


def digest(readme: str) -> str:
    """What tells whether a picture was made from these files by this command."""
    return hashlib.sha256(repr(sources(readme)).encode()).hexdigest()


def make(readme: str) -> bytes:
    """The picture, with the digest of its sources in a text chunk."""
    files, command = sources(readme)
    with tempfile.TemporaryDirectory() as folder:
        for name, text in files.items():
            path = Path(folder, name)
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        words = [sys.executable, "-m", "planner", *shlex.split(command)[1:], "-o", "map.png"]
        subprocess.run(words, cwd=folder, check=True)
        return noted(Path(folder, "map.png").read_bytes(), digest(readme))


def noted(png: bytes, note: str) -> bytes:
    """Put a ``tEXt`` chunk before the last one (PNG, ISO/IEC 15948)."""
    body = b"tEXtSource\0" + note.encode("ascii")
    chunk = struct.pack(">I", len(body) - 4) + body + struct.pack(">I", zlib.crc32(body))
    return png[:-12] + chunk + png[-12:]


def prints() -> dict[str, bytes]:
    """Pictures of what is printed for the porch of the examples, by the command's name."""
    import pypdfium2

    found = {}
    with tempfile.TemporaryDirectory() as folder:
        porch = shutil.copytree(README.parent / "examples" / "porch", Path(folder, "porch"))
        for command in ("plan", *PRINTS):
            call = [sys.executable, "-m", "planner", *command.split(), "porch", "--on", "2027-07-12"]
            subprocess.run(call, cwd=folder, check=True, stdout=subprocess.DEVNULL)
        for command, (number, part) in PRINTS.items():
            name = command.split()[0]
            page = pypdfium2.PdfDocument((porch / "out" / f"{name}.pdf").read_bytes())[number]
            picture = page.render(scale=1.3).to_pil().convert("L")
            wide, high = picture.size
            box = tuple(round(p * side) for p, side in zip(part, (wide, high) * 2, strict=True))
            out = BytesIO()
            picture.crop(box).save(out, "PNG", optimize=True)
            found[name] = out.getvalue()
    return found


if __name__ == "__main__":
    PICTURE.parent.mkdir(exist_ok=True)
    PICTURE.write_bytes(make(README.read_text(encoding="utf-8")))
    print(f"wrote {PICTURE.relative_to(README.parent)}")
    for name, data in prints().items():
        path = PICTURE.with_name(f"print-{name}.png")
        path.write_bytes(data)
        print(f"wrote {path.relative_to(README.parent)}")
