"""The search: construction, repair, bounds, the widest gap, and all first levels in lexicographic order."""
