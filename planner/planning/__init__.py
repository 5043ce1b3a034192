"""A season's plan: the instance made of it, objectives, moves, and ways out where there is none."""
