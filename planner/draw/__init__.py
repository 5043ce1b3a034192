"""Maps and tags: the only importer of matplotlib; nothing here writes a file."""
