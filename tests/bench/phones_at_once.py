"""By hand: three phones send at once, some things twice, while the server is killed and things are typed.

``python tests/bench/phones_at_once.py 3 4``: seeds 0 to 2, four kills each. It says what is on record in
the end, and stops where anything was lost or doubled.
"""

from __future__ import annotations

import http.client
import json
import os
import random
import re
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), *(str(ROOT / "tests" / name) for name in ("", "cli", "serve"))]

from cli_world import ON  # noqa: E402
from serve_world import event, slip, write_season  # noqa: E402

from planner.record.taken import read_log  # noqa: E402
from planner.season.pupae import table  # noqa: E402
from planner.serve.devices import token_of  # noqa: E402

PORT = 8731
ENV = os.environ | {"PYTHONPATH": str(ROOT)}


class Run:
    """A season served by a process of its own, killed and begun again."""

    def __init__(self, seed: int, kills: int) -> None:
        self.random, self.kills = random.Random(seed), kills
        self.folder = Path(tempfile.mkdtemp())
        write_season(self.folder / "porch")
        self.again = 0
        self.start()

    def start(self) -> None:
        words = ["serve", "porch", "--no-browser", "--json", "--port", str(PORT), "--on", ON]
        self.server = subprocess.Popen(
            [sys.executable, "-m", "planner", *words],
            cwd=self.folder,
            stdout=subprocess.PIPE,
            text=True,
            env=ENV,
        )
        said = "".join(iter(self.server.stdout.readline, "}\n"))
        connection = http.client.HTTPConnection("127.0.0.1", PORT)
        connection.request("GET", re.search(r"/open/[\w-]+", said)[0])
        self.cookie = connection.getresponse().getheader("set-cookie").split(";")[0]

    def phone(self, k: int) -> None:
        notes = [event(1000 * k + i, "noted", pupa=f"m{1 + i % 3}", note=f"p{k}-{i}") for i in range(30)]
        new = [
            event(
                1000 * k + 500 + i,
                "recorded",
                lid="tub-2",
                x=f"{12 + 6 * k}",
                y=f"{8 + 3 * i}",
                pupated="2027-07-04",
            )
            for i in range(4)
        ]
        events = [*notes, *new]
        self.random.shuffle(events)
        for i in range(0, len(events), 5):
            for _ in range(self.random.choice((1, 1, 2))):
                while not self.sent(slip(*events[i : i + 5], device=f"phone{k}")):
                    self.again += 1
                    time.sleep(0.3)

    def sent(self, what: object) -> bool:
        headers = {"Cookie": self.cookie, "Origin": f"http://127.0.0.1:{PORT}"}
        headers["X-Hangplan-Token"] = token_of(self.cookie.split("=", 1)[1])
        try:
            connection = http.client.HTTPConnection("127.0.0.1", PORT, timeout=30)
            connection.request("POST", "/season/porch/events", json.dumps(what), headers)
            answer = connection.getresponse()
            found = json.loads(answer.read())
        except (OSError, http.client.HTTPException):
            return False
        assert answer.status in (200, 401, 403, 503), found
        assert not found.get("refused"), found
        return answer.status == 200

    def live(self) -> str:
        phones = [threading.Thread(target=self.phone, args=(k,)) for k in (1, 2, 3)]
        for one in phones:
            one.start()
        for _ in range(self.kills):
            time.sleep(self.random.uniform(0.5, 2))
            self.server.kill()
            self.server.wait()
            self.start()
        for _ in range(2):
            words = [sys.executable, "-m", "planner", "add", "1", "tub-3", "porch", "--on", ON]
            subprocess.run(words, cwd=self.folder, env=ENV, check=True, capture_output=True)
        for one in phones:
            one.join()
        self.server.terminate()
        self.server.wait()
        rows = table.texts((self.folder / "porch" / "pupae.csv").read_bytes())
        notes = [note for row in rows.values() for note in row["note"].split("; ") if note.startswith("p")]
        entries = read_log(self.folder / "porch").entries
        assert len(rows) == 3 + 3 * 4 + 2
        assert len(notes) == len(set(notes)) == 3 * 30
        assert len(entries) == len({e.event.id for e in entries}) == 3 * 34
        return f"{len(rows)} pupae, {len(notes)} notes, {self.again} sends failed and were repeated"


if __name__ == "__main__":
    for seed in range(int(sys.argv[1])):
        print(seed, Run(seed, int(sys.argv[2])).live(), flush=True)
