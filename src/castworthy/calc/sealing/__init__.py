"""The sealing ring: a wire pressed into a groove of the deck."""
