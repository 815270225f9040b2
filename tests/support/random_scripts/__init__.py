"""Random scripts with every construct, and an oracle of what their tracks must hold."""
