"""The service talks: HTTP, command line, settings. It decides nothing about a tube."""
