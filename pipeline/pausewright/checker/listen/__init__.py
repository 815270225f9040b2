"""Where in a track there is sound, how loud, and above which noise."""
