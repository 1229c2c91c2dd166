"""exporters."""
