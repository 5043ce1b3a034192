"""The engine: who hangs where. The only part that imports the solver."""
