"""The one gate for files: whatever is opened by a name from outside is looked at here first."""
