"""The order of the work: what is done, what access it needs, which closings end that, the steps in words."""
