"""The one file that everything is written in."""
