"""``python -m planner`` is the same command as ``hangplan``."""

from planner.cli import main

if __name__ == "__main__":
    main()
