"""What survives a restart."""
