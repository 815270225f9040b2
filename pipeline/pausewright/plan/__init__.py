"""What sounds when: the builder's timeline."""
