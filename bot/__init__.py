"""lidside: a chat assistant that troubleshoots home preserves."""

__version__ = "0.1.0"
CONTRACT = 1  # version of the JSON-lines conversation described in README.md
