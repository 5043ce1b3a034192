"""Seasons without a plan free of clashes: the reasons, and the ways out with their prices."""
