"""What stands on papers that follow a track in time: plain data, from its script and timeline."""
