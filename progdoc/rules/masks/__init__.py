"""Masks against the air of a task: their credit, their maximum use concentration, and every reason why not."""
