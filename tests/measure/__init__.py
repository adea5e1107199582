"""Plays files of stories with known verdicts, and counts what came out right, milder and harsher."""
