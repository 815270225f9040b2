"""Outputs: one module each with `write(job)`, which returns what it wrote, with the kind of file.

`BEFORE_CHECK` and `AFTER_CHECK` in `deliver.version_build` say which come in which order.
"""
