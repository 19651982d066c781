"""Files of instruments, read into the frozen inputs of calc; one module per format."""
