"""Reports for the terminal and for paper: sheets of words and tables."""
