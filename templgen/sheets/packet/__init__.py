"""The bench packet: every page that the work needs, as one document."""
