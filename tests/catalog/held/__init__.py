"""Questions that were once answered too kindly, each with its answer then and now."""
