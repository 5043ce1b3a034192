from collections.abc import Callable
from pathlib import Path

import pytest

from planner.season import FaultyFiles, Season, Store, load

KNOWN = ("monarch", "painted-lady")


@pytest.fixture
def season_of(tmp_path: Path) -> Callable[..., Season]:
    """Load a season whose files have the given content; bytes are written as they are."""

    def make(settings: str | bytes, pupae: str | bytes | None = None) -> Season:
        for name, content in (("season.yaml", settings), ("pupae.csv", pupae)):
            if content is not None:
                data = content if isinstance(content, bytes) else content.encode()
                (tmp_path / name).write_bytes(data)
        return load(tmp_path, KNOWN)

    return make


@pytest.fixture
def faults_of(season_of: Callable[..., Season]) -> Callable[..., list[str]]:
    """All lines reported for the given content, which must be faulty."""

    def make(settings: str | bytes, pupae: str | bytes | None = None) -> list[str]:
        with pytest.raises(FaultyFiles) as caught:
            season_of(settings, pupae)
        return [str(p) for p in caught.value.problems]

    return make


@pytest.fixture
def store(tmp_path: Path) -> Store:
    """A season's store that holds one file, and does not wait long for others."""
    (tmp_path / "pupae.csv").write_bytes(b"old")
    return Store(tmp_path, patience=0.1)
