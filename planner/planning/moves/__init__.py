"""Moves in an order that works: precedence, parking on spare spots, schedule."""
