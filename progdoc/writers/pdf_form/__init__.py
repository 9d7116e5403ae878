"""Fields in a PDF: put into one that the typesetter made, and read back from whatever program they were filled in with.

Our own reader of the format, because every step of it has to be bounded, and no more of it than a form needs.
"""
