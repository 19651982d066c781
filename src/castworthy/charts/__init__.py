"""Results -> SVG text: the deck plan, the limit bar, the small shapes.  Knows no page, no PDF."""
