"""One module a command: its arguments, and what is printed of the values that come back."""
