"""Lists that were not made for this program: a keeper's own table, a lid drawn in letters."""
