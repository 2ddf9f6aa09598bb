"""The desk: publishing from a terminal, by the same steps of the office as over HTTP."""
