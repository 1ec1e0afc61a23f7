"""What a file recorded of a run: read, and summed up."""
