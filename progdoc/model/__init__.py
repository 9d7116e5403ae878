"""What the user described: strict reading of YAML, typed values, and the program's model.

`yaml_reader` turns files into plain text with a place for every value, `scalars` and `quantities` give
that text its type. Nothing here knows the law.
"""
