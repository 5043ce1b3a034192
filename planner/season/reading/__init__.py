"""What a text says: single values, dates as people type them, YAML, tables, sketches."""
