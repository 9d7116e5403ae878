"""The judged description as data: everything that is printed, drawn or compared, worked out once.

The rules fill these types in; whoever prints reads them and asks nothing more.
"""
