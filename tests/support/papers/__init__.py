"""Scripts drawn at random for papers, and papers read back by other libraries."""
