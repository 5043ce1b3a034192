"""The secondary objectives of a season in their order, and its costs of carrying."""
