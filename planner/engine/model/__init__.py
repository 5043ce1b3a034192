"""The CP-SAT model: instance, due classes, clique cover, variables, constraints, and the solver's call."""
