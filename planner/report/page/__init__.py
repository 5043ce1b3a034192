"""The page for a phone beside the rack."""
