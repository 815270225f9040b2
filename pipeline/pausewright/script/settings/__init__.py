"""The head of a script: the table of settings, strict YAML, lexicons, the JSON Schema."""
