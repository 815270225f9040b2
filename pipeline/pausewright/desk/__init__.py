"""The desk: the whole job in a browser on this machine, through the functions of the commands."""
