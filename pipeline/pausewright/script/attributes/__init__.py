"""What stands in braces: the closed table, its reader, the values, and what is inherited."""
