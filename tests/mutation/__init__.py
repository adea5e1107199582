"""Breaks the safety knowledge on purpose, one piece at a time, and sees whether a test notices."""
