"""The edge of the service: what a request must look like, and what every response carries."""
