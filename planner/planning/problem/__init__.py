"""What a plan is asked for: the instance that a season makes, arrivals, spots that are open."""
