"""Findings.  Every module of this package that has a `check` function is run, in the order of its name.

A new check is a new module: `CODES` (number -> what it is about) and `check(bench)`, which yields records.
"""
