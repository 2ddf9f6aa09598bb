"""The demonstration: the callers' example questions asked over HTTP and told to a person."""
