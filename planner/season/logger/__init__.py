"""A table of temperatures as a logger writes it: its heading, its columns and units, its days and hours."""
