"""The pages: HTTP only."""
