"""Faults planted in the program, layer by layer, which its own check must find."""
