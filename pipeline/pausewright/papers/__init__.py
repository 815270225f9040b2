"""What is printed: sheets for candidates and staff, from the same script as the sound."""
