"""1:1 templates, cut files and checks for parts that go through the skin of an all-metal aircraft."""

__version__ = "0.1.0"
