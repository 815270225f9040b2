"""What a person asks for beside a build: one function each, which prints nothing.

The command line calls these functions and those of `deliver` and `voice`; another front can call
the same ones. They return values and raise `PausewrightError`.
"""
