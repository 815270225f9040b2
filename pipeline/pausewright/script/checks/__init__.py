"""What must agree across a whole script."""
