"""The use cases, one file each: bytes and a day in, results and bytes out. Files are read and written in `disk`."""
