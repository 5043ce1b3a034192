"""Writing a season's files: under a lock, all of a change or nothing, with every previous version kept."""

from planner.season.store.disk import StoreError, try_output, write_output
from planner.season.store.journal import OWN
from planner.season.store.recovery import left_over, recover
from planner.season.store.store import Store

__all__ = ["OWN", "Store", "StoreError", "left_over", "recover", "try_output", "write_output"]
