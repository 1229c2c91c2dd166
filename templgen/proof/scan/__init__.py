"""Is a print true? Judged from a scan or a photo of it, by the square markers round every sheet.

This is the only door to OpenCV, which comes with the extra `scan`.
"""
