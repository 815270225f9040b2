"""Papers as PDF, read back from the file and compared with the script."""
