"""One module a page: HTTP in, HTTP out."""
