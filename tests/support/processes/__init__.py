"""Commands watched from outside, stopped, killed and run out of room."""
