"""The desk: publishing from a terminal."""
