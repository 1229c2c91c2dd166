"""build."""
