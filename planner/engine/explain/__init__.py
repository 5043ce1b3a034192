"""Whether an instance has a solution without clashes, and why not: unsatisfiable cores."""
