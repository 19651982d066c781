"""Frozen facts -> PDF, set by Typst: tag, traveller, release record, claim sheet."""
