"""Rickyard: the stock book of salvaged wood, from the fallen tree to four matched staves."""

__version__ = "0.1.0"
