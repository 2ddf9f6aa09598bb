"""One thin controller a resource: decode, one function of the catalog, encode."""
