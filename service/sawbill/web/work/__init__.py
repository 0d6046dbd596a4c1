"""From a request to what is worked out for it: asked for, handed in, remembered, done beside the requests."""
