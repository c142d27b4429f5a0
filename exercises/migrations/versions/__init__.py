"""A module a version, oldest first."""
