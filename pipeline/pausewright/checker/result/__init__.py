"""What the check found, as plain values, and what findings are called."""
