"""What ``plan --verbose`` and ``--dump-model`` show of the solver: its log, its models, and tracebacks."""

from __future__ import annotations

import traceback
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from planner.cli.shell.talk import tell
from planner.record.refusal import Refused
from planner.season.store import StoreError, write_output


class Models:
    """Writes each model asked of the solver as text beside ``path``: model-1.txt, model-2.txt, …"""

    def __init__(self, path: Path):
        self.path, self.written = path, 0

    def write(self, model: Any) -> None:
        """Write one more (a ``CpModel``); its first line tells what it asks."""
        self.written += 1
        file = self.path.with_name(f"{self.path.stem}-{self.written}{self.path.suffix}")
        try:
            write_output(file, f"# {model.name}\n{model.proto}".encode())
        except StoreError as e:
            raise Refused([f"--dump-model: {e}"]) from None


@dataclass(frozen=True)
class Watched:
    """What is to be shown of the solver."""

    verbose: bool = False
    models: Models | None = None

    @property
    def log(self) -> Callable[[str], None] | None:
        """Where the search log goes: beside the results."""
        return tell if self.verbose else None

    @property
    def dump(self) -> Callable[[Any], None] | None:
        """What writes the models."""
        return None if self.models is None else self.models.write

    def failed(self, error: BaseException) -> None:
        """Show where something failed, to who asked for it."""
        if self.verbose:
            tell("".join(traceback.format_exception(error)))

    def tell_models(self) -> None:
        """Say where the models are."""
        if self.models is not None:
            many = f"-1 to -{self.models.written}" if self.models.written > 1 else "-1"
            path = self.models.path
            none = "no model was asked of the solver: --dump-model wrote nothing"
            tell(f"models: {path.with_suffix('')}{many}{path.suffix}" if self.models.written else none)
