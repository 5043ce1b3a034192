"""The steps by which a command changes a folder, seen one by one; each may be the last, or fail.

Opening for writing, each write that reaches the system and its middle, sync, rename, removal, mode and new
folders. They are seen by Python's audit hooks and by taking the place of ``open`` and ``os.fsync``; nothing
of the program is replaced. A hook cannot be taken out again, so each command runs in a child of its own,
forked when everything is loaded.
"""

import builtins
import io
import os
import pickle
import signal
import sys
import tempfile
import traceback
from dataclasses import dataclass
from pathlib import Path

from cli_world import Said
from commands import done

AUDITED = ("open", "os.rename", "os.remove", "os.chmod", "os.mkdir", "os.rmdir", "os.link", "os.truncate")
KILLED = -signal.SIGKILL
RAISED = 99  # the command ended in an exception that nobody caught


@dataclass(frozen=True)
class Step:
    """One step: its kind, the file, for a rename the new name, and for a write the bytes so far."""

    kind: str
    path: str
    to: str = ""
    data: bytes = b""


def watch(folder, act):
    """Call ``act(step)`` before each step within ``folder``; what it raises, the command gets."""
    inside = str(folder)

    def hook(event, args):
        if event in AUDITED and str(args[0]).startswith(inside):
            reads = event == "open" and (
                not set("wxa+") & set(args[1])
                if args[1] is not None
                else not args[2] & (os.O_WRONLY | os.O_RDWR)
            )
            if not reads:
                to = str(args[1]) if event in ("os.rename", "os.link") else ""
                act(Step(event.removeprefix("os."), str(args[0]), to))

    class Raw(io.FileIO):
        def write(self, data):
            data, half = bytes(data), len(data) // 2
            act(Step("write", self.name))
            first = super().write(data[:half])
            act(Step("half", self.name, data=data[:first]))
            if first < half:
                return first  # a disk that is really full takes only a part
            second = super().write(data[half:])
            act(Step("written", self.name, data=data[half : half + second]))
            return first + second

    real = io.open

    def opened(file, mode="r", buffering=-1, encoding=None, errors=None, newline=None, *more, **others):
        if isinstance(file, int) or not set("wxa+") & set(mode) or not str(file).startswith(inside):
            return real(file, mode, buffering, encoding, errors, newline, *more, **others)
        buffer = io.BufferedWriter(Raw(str(file), mode.replace("b", "").replace("t", "")))
        return buffer if "b" in mode else io.TextIOWrapper(buffer, encoding, errors, newline)

    sync = os.fsync

    def synced(handle):
        path = str(Path(f"/proc/self/fd/{handle}").readlink())
        if path.startswith(inside):
            act(Step("fsync", path))
        sync(handle)

    io.open = builtins.open = opened
    os.fsync = synced
    sys.addaudithook(hook)


def run(folder, words, act, before=lambda: None):
    """Run a command in a child whose every step is told to ``act``; its code is KILLED if it died."""
    with tempfile.TemporaryFile() as box:
        pid = os.fork()
        if not pid:
            try:
                said = _child(folder, words, act, before)
            except BaseException:
                said = Said(RAISED, "", traceback.format_exc())
            os.write(box.fileno(), pickle.dumps(said))
            os.kill(os.getpid(), signal.SIGKILL)  # nothing of pytest is to run in a child
        os.waitpid(pid, 0)
        box.seek(0)
        data = box.read()
    return pickle.loads(data) if data else Said(KILLED, "", "")


def _child(folder, words, act, before):
    before()
    watch(Path(folder), act)
    return done(words)


def die_at(at):
    """An ``act`` that lets the process die by SIGKILL before its ``at``-th step, counted from 1."""
    count = 0

    def act(step):
        nonlocal count
        count += step.kind != "written"  # on the disk that is the same as the next one
        if count == at:
            os.kill(os.getpid(), signal.SIGKILL)
            signal.pause()

    return act


def steps_of(folder, words):
    """Every step of a command that nothing stops, and what it said."""
    with tempfile.TemporaryFile() as box:
        said = run(folder, words, lambda step: os.write(box.fileno(), _framed(step)))
        box.seek(0)
        found = []
        while size := box.read(8):
            found.append(pickle.loads(box.read(int.from_bytes(size, "big"))))
    return found, said


def _framed(step):
    data = pickle.dumps(step)
    return len(data).to_bytes(8, "big") + data
