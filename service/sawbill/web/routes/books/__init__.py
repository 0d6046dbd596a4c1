"""The resources of price books."""
