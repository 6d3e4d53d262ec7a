"""Papers to print: content as blocks, one typesetter."""
