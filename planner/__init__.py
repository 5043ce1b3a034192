"""hangplan: plan where butterfly pupae hang, so that neighbours emerge on different days.

The engine is usable without a season::

    import networkx as nx
    from planner import arrange
    arrange(nx.path_graph(20), dues=range(20)).smallest_gap   # 10
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from planner.engine.arrange import arrange
    from planner.engine.arrangement import Arrangement

__version__ = "0.1.0"
__all__ = ["Arrangement", "__version__", "arrange"]


def __getattr__(name: str) -> Any:
    # The solver takes most of a second to import: only those who ask for it pay.
    if name in ("arrange", "Arrangement"):
        from planner.engine import arrange as module

        return getattr(module, name)
    raise AttributeError(f"module 'planner' has no attribute {name!r}")
