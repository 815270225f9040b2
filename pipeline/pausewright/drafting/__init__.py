"""A first script for a recording that is there already: measured, and marked for doubt."""
