"""The plan in force as days pass: its progress, what is left of it, and the outlook for each day."""
