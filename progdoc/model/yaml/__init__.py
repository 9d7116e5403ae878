"""YAML files read strictly: plain texts, each with its place; and single values changed at their place."""
