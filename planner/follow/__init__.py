"""The plan in force as days pass: how far it was carried out, and what each day brings."""
