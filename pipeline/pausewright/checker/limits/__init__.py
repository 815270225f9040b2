"""Every threshold by which the check judges, with its words; the check reads them from here.

A module holds limits of one kind. Each is a constant with its unit in its name, and a text below
it: what it limits, how it was measured, which test holds it where that is not one of the module's
`TESTS`. docs/the-check.md is made from them (scripts/make_limits_table.py). What only a
calculation needs (lengths of windows, bands, rates) stays where it is calculated, and so do the
weights of the search in `match.align`; tests/docs/test_limits_table.py lists all of these.
"""
