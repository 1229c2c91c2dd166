"""The rules themselves: every module here holds one RULE and is found by its file name."""
