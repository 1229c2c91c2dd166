"""The pipeline: one function for each command; plain values in, a result out; no click, no print."""
