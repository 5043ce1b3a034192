"""What happened, as rules without a terminal: who is new or on record, what may be marked, what was done."""
