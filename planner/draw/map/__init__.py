"""The map of the rack: places to scale, a date tag at every spot taken."""
