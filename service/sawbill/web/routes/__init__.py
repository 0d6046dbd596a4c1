"""The resources, one module a noun: read what is asked, one call, send the answer."""
