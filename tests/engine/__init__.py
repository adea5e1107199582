"""What the engine must do. The safety rules are proven over all combinations of answers: `python -m tests.engine.prove`."""
