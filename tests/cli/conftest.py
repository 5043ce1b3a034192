from pathlib import Path

import pytest
from cli_world import World


@pytest.fixture
def world(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> World:
    """A season in a folder called porch; one stands beside it."""
    monkeypatch.chdir(tmp_path)
    folder = tmp_path / "porch"
    folder.mkdir()
    return World(folder.relative_to(tmp_path))
