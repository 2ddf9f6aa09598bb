"""One module a question; each only assembles what setup and rules have found."""
