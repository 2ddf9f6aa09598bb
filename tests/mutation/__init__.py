"""Small faults put into the source one by one, each of which some test must find."""
