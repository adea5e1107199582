"""House rules: what holds for the code, the documents and the package as a whole, whatever lidside says."""
