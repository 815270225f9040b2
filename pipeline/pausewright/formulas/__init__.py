"""Formulas as schools write them in LaTeX: one tree that gives words, Typst, MathML and plain text."""
