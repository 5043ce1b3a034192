"""The plan in force: its record, and how plan.yaml is read and written."""
