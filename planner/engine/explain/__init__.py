"""Why an instance has no solution without clashes: unsatisfiable cores, minimal under deletion."""
