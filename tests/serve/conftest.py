import pytest
from serve_world import World, write_season


@pytest.fixture
def porch(tmp_path):
    """The season of cli_world, served on its own, as its keeper's browser sees it."""
    return World(write_season(tmp_path / "porch"))
