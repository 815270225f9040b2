"""The independent check of a delivered track: it shares the script with the builder, not time.

Imports nothing of the project but `script`, `wording`, `arrange` and `problems`. One entry:
`pausewright.checker.check.check_track`.
"""
