"""Sheets for the wall and pictures of a season."""
