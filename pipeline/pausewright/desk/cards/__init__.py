"""Cards: a script as fields, and a changed field as a change of the lines that it stands on."""
